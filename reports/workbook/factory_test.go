package workbook

import (
	"bytes"
	"fmt"
	"os"
	"regexp"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"moldwright/pipeline"
	"moldwright/pipeline/advice"
	"moldwright/pipeline/tables"
)

// A factory's workbook stays one that opens at once: rows are bounded, what
// needs action is shown first, and each sheet says what it leaves out and where
// it is. MOLDWRIGHT_FACTORY=200000 tries it with so many molds, ten casts each.
func TestAFactorysWorkbookIsBounded(t *testing.T) {
	molds, lim := 2_000, limits{most: 500, long: 2_000}
	if n, err := strconv.Atoi(os.Getenv("MOLDWRIGHT_FACTORY")); err == nil {
		molds, lim = n, usualLimits()
	}
	res := factory(molds)
	var buf bytes.Buffer
	begun := time.Now()
	require.NoError(t, write(&buf, res, nil, lim))
	t.Logf("%d molds, %d casts: %.1f s, %.1f MB", molds, len(res.Wall.Used), time.Since(begun).Seconds(), float64(buf.Len())/1e6)
	assert.Less(t, buf.Len(), 12_000_000)

	dimension := regexp.MustCompile(`<dimension ref="A1:[A-Z]+(\d+)"`)
	for i := 1; ; i++ {
		sheet := optional(buf.Bytes(), fmt.Sprintf("xl/worksheets/sheet%d.xml", i))
		if sheet == "" {
			require.Greater(t, i, 20)
			break
		}
		m := dimension.FindStringSubmatch(sheet[:min(len(sheet), 20000)])
		require.NotNil(t, m, "sheet %d: %.300s", i, sheet)
		rows, err := strconv.Atoi(m[1])
		require.NoError(t, err)
		assert.Less(t, rows, lim.long+lim.most, "sheet %d", i)
	}

	f, err := excelize.OpenReader(bytes.NewReader(buf.Bytes()))
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	flagged := (molds + 99) / 100
	for sheet, want := range map[string]string{
		moldsSheet:     fmt.Sprintf("Shown here: \\d+ of %d rows, (all|the most pressing of the) \\d+ that need action", molds),
		watchSheet:     fmt.Sprintf("Shown here: %d of %d rows, all %d that need action, and of the others those at the top of the order. The full table: tables/watch.csv.", lim.most, molds, flagged),
		remainingSheet: fmt.Sprintf("Shown here: %d of %d rows, ", lim.most, molds),
		dwellSheet:     fmt.Sprintf("Shown here: %d of %d rows, ", min(lim.most, mostGuideRows), molds),
		castsSheet:     fmt.Sprintf("Shown here: \\d+ of %d rows, every \\d+(st|nd|rd|th) of the others|Shown here: \\d+ of %d rows, the one that needs action", len(res.Wall.Used), len(res.Wall.Used)),
	} {
		lead, err := f.GetCellValue(sheet, ref(1, leadRow))
		require.NoError(t, err)
		assert.Regexp(t, want, lead, sheet)
	}
	rows, err := f.GetRows(watchSheet)
	require.NoError(t, err)
	last := fmt.Sprintf("F-%07d", (flagged-1)*100)
	shown := false
	for _, r := range rows {
		shown = shown || len(r) > 0 && r[0] == last
	}
	assert.True(t, shown, "%s is flagged and stands far down", last)
}

// factory is the sample with as many molds as asked for, ten casts each; every
// hundredth is flagged.
func factory(molds int) pipeline.Result {
	res := sample()
	wall, watch, life := res.Wall, res.Watch, res.Life
	state, remaining, guide, used := wall.States[0], life.Remaining[0], wall.Guide[:7], wall.Used[0]
	wall.States, life.Remaining, wall.Guide, wall.Used, watch.Molds = nil, nil, nil, nil, nil
	for i := range molds {
		name := fmt.Sprintf("F-%07d", i)
		state.Mold, remaining.Mold, remaining.RemainingP50 = name, name, float64(i%90)
		remaining.RemainingP10, remaining.RemainingP90 = float64(i%90/2), float64(i%90*2)
		wall.States = append(wall.States, state)
		life.Remaining = append(life.Remaining, remaining)
		watch.Molds = append(watch.Molds, tables.Watch{Mold: name, Flagged: i%100 == 0, SinceAgeCasts: tables.NoCount, Evidence: "nothing unusual"})
		for _, g := range guide {
			g.Mold = name
			wall.Guide = append(wall.Guide, g)
		}
		for n := range 10 {
			used.Mold, used.AgeCasts, used.Row = name, tables.Count(n), tables.Count(10*i+n+2)
			used.Weight = 1
			if i == molds/2 && n == 3 {
				used.Weight = 0.01
			}
			wall.Used = append(wall.Used, used)
		}
		if i%100 == 0 {
			res.Advice = append(res.Advice, advice.Item{For: advice.ForShelf, Urgent: true, Finding: name + " is wearing out early.", Sheet: advice.SheetWatch, About: name})
		}
	}
	pour := res.Plaster.Pours[0]
	for i := range molds {
		pour.Pour = fmt.Sprintf("P%07d", i)
		res.Plaster.Pours = append(res.Plaster.Pours, pour)
	}
	res.Wall, res.Watch, res.Life = wall, watch, life
	return res
}
