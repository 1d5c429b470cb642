package page

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline"
	"moldwright/pipeline/advice"
	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// TestThePageOfAFactoryIsBounded holds size and rows for 20,000 molds, and that those
// that need action are among the rows shown, with how many there are.
func TestThePageOfAFactoryIsBounded(t *testing.T) {
	const molds = 20_000
	res := pipeline.Result{Settings: pipeline.Defaults()}
	res.Wall.Fitted = true
	for i := range molds {
		name := fmt.Sprintf("M%05d", i)
		res.Log.Molds = append(res.Log.Molds, history.Mold{Mold: name, Form: "mug", Status: history.StatusInUse, Age: 10})
		res.Life.Remaining = append(res.Life.Remaining, tables.RemainingCasts{Mold: name, RemainingP10: 5, RemainingP50: 20, RemainingP90: 40, Basis: "all alike"})
		res.Watch.Molds = append(res.Watch.Molds, tables.Watch{Mold: name, Flagged: i%5000 == 4999, Evidence: "thin walls"})
		res.Wall.Guide = append(res.Wall.Guide, tables.DwellGuide{Mold: name, TargetWallMM: 4, DwellMin: 20, DwellLower90: 18, DwellUpper90: 23})
		res.Advice = append(res.Advice, advice.Item{For: advice.ForShelf, Urgent: true, Finding: name + " ends.", Do: "Pour."})
	}
	var out bytes.Buffer
	require.NoError(t, Write(&out, res, nil))
	page := out.String()
	require.Less(t, len(page), 400_000)
	for _, said := range []string{
		"Shown are 60 of 20000 molds in use, those that need action first", "Shown are 60 of 19996 molds without a sign",
		"Shown are 60 of 20000 molds, those that need action first", "Shown are 8 of 20000 things; all stand on the sheet “Summary”", "and 19960 others",
	} {
		require.Contains(t, page, said)
	}
	for _, flagged := range []string{"M04999", "M09999", "M14999", "M19999"} {
		require.GreaterOrEqual(t, strings.Count(page, flagged), 3, "in the molds, the guide and the watch list")
	}
}
