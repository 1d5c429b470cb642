package plaster

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

// A pour of a good mold at consistency 70; tests change what they are about.
func pour(name string, plasterKg float64) tables.Pour {
	a := tables.Absent()
	return tables.Pour{Pour: name, Date: tables.MakeDate(2025, 3, 3), PlasterKg: plasterKg, WaterKg: 0.7 * plasterKg, Outcome: "good",
		InsideDiameterMM: a, InsideLengthMM: a, InsideWidthMM: a, PlasterOverModel: a, ModelVolumeL: a, LeftoverKg: a, SpilledKg: a, TrimmedKg: a}
}

// in puts the pour in a round wall.
func in(p tables.Pour, diameter, cover float64) tables.Pour {
	p.Shape, p.InsideDiameterMM, p.PlasterOverModel = round, diameter, cover
	return p
}

// gapRows is a gap table of one reading a height: height, gap, height, gap …
func gapRows(pour string, heightsAndGaps ...float64) []tables.Gap {
	var rows []tables.Gap
	for i := 0; i < len(heightsAndGaps); i += 2 {
		rows = append(rows, tables.Gap{Pour: pour, HeightMM: heightsAndGaps[i], GapsMM: []float64{heightsAndGaps[i+1]}})
	}
	return rows
}

// needed works out the pour's need from rows, with all problems on the way.
func needed(p tables.Pour, rows []tables.Gap, problems *problemList) mass {
	var table *gapTable
	if tables := gapTables(rows, problems); len(tables) > 0 {
		table = tables[0]
	}
	_, kg := neededFor(p, slurry70(), table, Defaults(), problems)
	return kg
}

func slurry70() Slurry {
	return Slurry{Consistency: 70, PlasterDensity: 2.70, WaterDensity: 0.998}
}

func TestNeededPlasterOfACylinder(t *testing.T) {
	var problems problemList
	p := in(pour("P1", 5), 200, 50)
	got := needed(p, gapRows("P1", 0, 40, 50, 40, 100, 40), &problems)
	require.Empty(t, problems.rows)
	liters := math.Pi / 4 * (200*200*150 - 120*120*100) * 1e-6
	require.InDelta(t, liters/slurry70().LitersPerKg(), got.kg, 1e-9)
	down := needed(p, gapRows("P1", 100, 40, 50, 40, 0, 40), &problems)
	require.InDelta(t, got.kg, down.kg, 1e-12, "a table from the top down is the same table")
	require.InDelta(t, got.se, down.se, 1e-12)
}

func TestGeometryThatCantBeIsToldAndGivesNoVolume(t *testing.T) {
	good := in(pour("P1", 5), 200, 50)
	table := gapRows("P1", 0, 40, 50, 40, 100, 40)
	with := func(change func(*tables.Pour)) tables.Pour {
		p := good
		change(&p)
		return p
	}
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		code string
		pour tables.Pour
		gaps []tables.Gap
	}{
		{"gap-too-wide", good, gapRows("P1", 0, 40, 50, 110, 100, 40)},
		{"gap-impossible", good, gapRows("P1", 0, 40, 50, -3, 100, 40)},
		{"gap-impossible", good, gapRows("P1", 0, 40, 50, inf, 100, 40)},
		{"no-gap", good, gapRows("P1", 0, 40, 50, nan, 100, 40)},
		{"no-gap", good, []tables.Gap{{Pour: "P1", HeightMM: 0}}},
		{"height-impossible", good, gapRows("P1", -5, 40, 50, 40, 100, 40)},
		{"height-impossible", good, gapRows("P1", nan, 40, 50, 40, 100, 40)},
		{"height-impossible", good, gapRows("P1", 0, 40, 50, 40, 1e300, 40)},
		{"heights-out-of-order", good, gapRows("P1", 0, 40, 500, 40, 100, 40, 600, 40)},
		{"height-twice", good, gapRows("P1", 0, 40, 50, 40, 50, 40, 100, 40)},
		{"height-twice", good, gapRows("P1", 50, 40, 50, 40, 50, 40)},
		{"too-few-heights", good, gapRows("P1", 0, 40, 100, 40)},
		{"no-room", with(func(p *tables.Pour) {
			p.PlasterOverModel = 0
			p.Shape = rectangular
			p.InsideLengthMM, p.InsideWidthMM = 100, 100
		}),
			squareModelFillingItsWall()},
		{"no-cover", with(func(p *tables.Pour) { p.PlasterOverModel = nan }), table},
		{"cover-impossible", with(func(p *tables.Pour) { p.PlasterOverModel = -1 }), table},
		{"no-containment-size", with(func(p *tables.Pour) { p.InsideDiameterMM = nan }), table},
		{"no-containment-size", with(func(p *tables.Pour) { p.Shape, p.InsideDiameterMM = "", nan }), table},
		{"no-containment-size", with(func(p *tables.Pour) { p.Shape, p.InsideLengthMM = rectangular, 200 }), table},
		{"containment-size", with(func(p *tables.Pour) { p.InsideDiameterMM = 0 }), table},
		{"containment-size", with(func(p *tables.Pour) { p.InsideDiameterMM = inf }), table},
		{"no-height", with(func(p *tables.Pour) { p.ModelVolumeL = 1 }), nil},
	} {
		var problems problemList
		got := needed(c.pour, c.gaps, &problems)
		require.False(t, got.known(), c.code)
		require.Len(t, problems.rows, 1, c.code)
		require.Equal(t, c.code, problems.rows[0].Code)
		require.NotEmpty(t, problems.rows[0].Message, c.code)
		require.NotEmpty(t, problems.rows[0].Mend, c.code)
		require.NotContains(t, problems.rows[0].Message+problems.rows[0].Value, "NaN")
		require.NotContains(t, problems.rows[0].Message+problems.rows[0].Value, "Inf")
	}
}

func squareModelFillingItsWall() []tables.Gap {
	var rows []tables.Gap
	for _, h := range []float64{0, 50, 100} {
		rows = append(rows, tables.Gap{Pour: "P1", HeightMM: h, GapsMM: make([]float64, 8)})
	}
	return rows
}

func TestOddButUsableGeometry(t *testing.T) {
	var problems problemList
	p := in(pour("P1", 5), 200, 50)
	p.Shape = "" // the diameter tells it
	got := needed(p, gapRows("P1", 60, 40, 80, 40, 100, 102), &problems)
	require.True(t, got.known(), "a gap past the middle by a reading error is a point")
	require.Equal(t, "foot-not-measured", problems.rows[0].Code)

	problems = problemList{}
	p.ModelVolumeL = 40
	got = needed(p, gapRows("P1", 0, 40, 50, 40, 100, 40), &problems)
	require.True(t, got.known(), "the gaps still tell the volume")
	require.Equal(t, "model-volume-impossible", problems.rows[0].Code)
	require.Equal(t, tables.ValueIgnored, problems.rows[0].Severity)

	problems = problemList{}
	p.ModelVolumeL = 1.13
	got = needed(p, gapRows("P1", 100, 40), &problems)
	require.True(t, got.known(), "with a model volume one height is enough: the top")
	require.Empty(t, problems.rows)
}

// A missing reading leaves the others at unequal angles: they count by their mean.
func TestAMissingReadingAmongSeveral(t *testing.T) {
	nan := math.NaN()
	readings, trouble := readingsOf(tables.Gap{GapsMM: []float64{40, nan, 44, 42, 42}})
	require.Nil(t, trouble)
	require.Equal(t, []float64{42}, readings)
}

func FuzzNeededFor(f *testing.F) {
	f.Add(200.0, 50.0, 0.0, 40.0, 50.0, 40.0, 100.0, 40.0)
	f.Add(200.0, 0.0, 0.0, 100.0, 1e-3, 100.0, 1.0, 0.0)
	f.Fuzz(func(t *testing.T, diameter, cover, h1, g1, h2, g2, h3, g3 float64) {
		var problems problemList
		got := needed(in(pour("P1", 5), diameter, cover), gapRows("P1", h1, g1, h2, g2, h3, g3), &problems)
		if got.known() {
			require.Greater(t, got.kg, 0.0)
			require.False(t, math.IsNaN(got.se) || math.IsInf(got.se, 0) || math.IsInf(got.kg, 0))
		} else {
			require.NotEmpty(t, problems.rows)
		}
	})
}
