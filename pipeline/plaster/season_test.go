package plaster

import (
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

func TestTermsAreHalvesOfACalendarYear(t *testing.T) {
	require.Equal(t, "2025 Jan to Jun", termOf(tables.MakeDate(2025, 6, 30)))
	require.Equal(t, "2025 Jul to Dec", termOf(tables.MakeDate(2025, 7, 1)))
	require.Equal(t, "2024 Jul to Dec", termOf(tables.MakeDate(2024, 12, 31)))
	require.Empty(t, termOf(tables.NoDate))
	require.Equal(t, "2024-01-01 to 2024-06-30", termSpan(tables.MakeDate(2024, 2, 29)).String())
}

func TestTheComingTerm(t *testing.T) {
	for day, want := range map[tables.Date]string{
		tables.MakeDate(2025, 6, 30):  "2025-07-01 to 2025-12-31",
		tables.MakeDate(2025, 11, 28): "2026-01-01 to 2026-06-30",
		tables.MakeDate(2026, 1, 10):  "2026-01-11 to 2026-06-30",
		tables.MakeDate(2026, 1, 31):  "2026-07-01 to 2026-12-31",
	} {
		require.Equal(t, want, comingTerm(day).String(), day.String())
	}
}

func TestWindowsTileTheLog(t *testing.T) {
	first, asOf := tables.MakeDate(2023, 9, 4), tables.MakeDate(2025, 11, 28)
	windows := windowsOf(comingTerm(asOf), first, asOf)
	require.True(t, windows[1].like)
	require.Equal(t, "2025-01-01 to 2025-06-30", windows[1].String())
	require.Equal(t, "2025-07-01 to 2025-11-28", windows[0].String())
	require.InDelta(t, 151, windows[0].exposure, 0)
	day := asOf
	for _, w := range windows {
		require.Equal(t, day, w.last, "no gap, no overlap")
		day = w.first - 1
	}
	require.Equal(t, first-1, day)

	week := windowsOf(comingTerm(first+6), first, first+6)
	require.Len(t, week, 1)
	require.InDelta(t, shortestLogDays, week[0].exposure, 0)
	far := windowsOf(comingTerm(asOf), tables.MakeDate(1990, 1, 1), asOf)
	require.Len(t, far, 2*mostYears)
}
