package format

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

func TestNumbersReadAsPeopleWriteThem(t *testing.T) {
	for want, got := range map[string]string{
		"5.2 mm":           Metric.Wall(5.2345),
		"22 min":           Dwell(22.4),
		"7.5 min":          Dwell(7.4),
		"1.2 mm²/min":      Metric.Rate(1.234),
		"0.034 mm²/min":    Metric.Rate(0.0341),
		"12 casts":         Casts(12),
		"1 cast":           Casts(1.2),
		"0.35 kg":          Metric.Mass(0.347),
		"12.3 kg":          Metric.Mass(12.34),
		"1235 kg":          Metric.Mass(1234.6),
		"12.50":            Money(12.5),
		"320":              Money(319.7),
		"42 %":             Percent(0.42),
		"<1 %":             Percent(0.001),
		">99 %":            Percent(0.9999),
		"100 %":            Percent(1),
		"0 %":              Percent(0),
		"0.62 %":           Wear(0.0062),
		"1.5 %":            Wear(0.015),
		"−0.20 %":          Wear(-0.002),
		"4.1 to 5.3 mm":    Interval(Metric.Wall(4.1), Metric.Wall(5.3)),
		"0.50 kg to 2 min": Interval(Metric.Mass(.5), "2 min"),
		"2025-03-01":       ISO.Day(tables.MakeDate(2025, 3, 1)),
		"1000000":          Significant(1e6, 2),
		"0.0":              Fixed(-0.001, 1),
	} {
		require.Equal(t, want, got)
	}
}

func TestAbsentNumbersAreADash(t *testing.T) {
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		for _, s := range []string{Metric.Wall(x), Dwell(x), Metric.Rate(x), Casts(x), Metric.Mass(x), Money(x), Percent(x), Wear(x), Significant(x, 3), Interval(Metric.Wall(x), Metric.Wall(1))} {
			require.Equal(t, Dash, s)
		}
	}
	require.Equal(t, Dash, ISO.Day(tables.NoDate))
}

func TestWhatAPlanRestsOnIsWrittenInALine(t *testing.T) {
	for want, a := range map[string]tables.PlanAssumed{
		"Casts of one mold in a day, bowl: 3 casts [the form]":     {What: "casts of one mold in a day", Of: "bowl", Value: 3, Unit: "casts", Basis: "the form"},
		"Length of a working day: 4.25 h [the log]":                {What: "length of a working day", Value: 4.25, Unit: "h", Basis: "the log"},
		"Share of pours that do not come off, split: 14 % [a log]": {What: "share of pours that do not come off", Of: "split", Value: 0.13617, Basis: "a log"},
		"Pours in a day: 1 mold [the log (a busy day)]":            {What: "pours in a day", Value: 1, Unit: "molds", Basis: "the log (a busy day)"},
		"Working days: Monday to Friday":                           {What: "working days", Value: tables.Absent(), Words: "Monday to Friday"},
	} {
		require.Equal(t, want, Assumed(a))
	}
}

func TestAChanceIsSaidInWordsAndNeverAsSure(t *testing.T) {
	for p, want := range map[float64]string{0: "very unlikely", 0.1: "unlikely", 0.249: "unlikely", 0.25: "rather unlikely", 0.5: "rather likely", 0.75: "likely", 0.9: "very likely", 1: "very likely", -0.1: "", 1.1: ""} {
		require.Equal(t, want, Likely(p), p)
	}
	require.Empty(t, Likely(tables.Absent()))
	require.Equal(t, []string{"<1 %", ">99 %", "83 %", Dash}, []string{Chance(0), Chance(1), Chance(0.83), Chance(tables.Absent())})
	require.Equal(t, []string{"1 piece", "0 pieces", "1 mold", "2 molds"}, []string{Pieces(1), Pieces(0), Molds(1), Molds(2)})
}
