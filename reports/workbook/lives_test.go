package workbook

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestEndsOfMoldsStandBelowTheirLives(t *testing.T) {
	got := causesOf(sample().Life.Causes)
	require.Len(t, got, 3)
	require.Equal(t, ending{kind: "split", cause: "worn", ended: 2, molds: 12, ages: "31 to 44", by: 44, share: 0.29, lower: 0.06, upper: 0.6}, got[0])
	require.Equal(t, "9", got[1].ages)
	f, _ := made(t, sample(), nil, usualLimits())
	rows, err := f.GetRows(livesSheet)
	require.NoError(t, err)
	seen := false
	for _, r := range rows {
		seen = seen || len(r) >= 7 && r[0] == "split" && r[1] == "worn" && r[4] == "31 to 44" && r[6] == "29%"
	}
	require.True(t, seen, "%v", rows)
}
