package plaster

import (
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

// weighedCast is a cast of a mold that was weighed before it.
func weighedCast(mold string, day int, kg float64) tables.Cast {
	c := cast(mold, "good")
	c.Date, c.MoldMassKg = tables.MakeDate(2025, 4, day), kg
	return c
}

// By hand: all of 4 kg but 1 % on bucket and tools and 2 % trimmed off sets to
// 4·0.99·0.98 = 3.8808 kg of plaster, ·1.7 = 6.597 kg wet, ·1.18618 = 4.603 kg dry.
func TestWeighingTellsWhenAMoldIsDry(t *testing.T) {
	for kg, state := range map[float64]string{4.6: stateDry, 4.68: stateDry, 5.4: stateWet, 3.5: stateTooLight} {
		p := pour("P1", 4)
		p.LeftoverKg = 0
		a := run(t, tables.Studio{Pours: tables.FrameOf(p), Molds: tables.FrameOf(mold("M1", "bowl", "split", "P1", "in use")),
			Casts: tables.FrameOf(weighedCast("m1", 9, kg), weighedCast("M1", 3, 6.1), weighedCast("M1", 10, tables.Absent()))})
		require.Len(t, a.Masses, 1)
		m := a.Masses[0]
		require.Equal(t, "M1", m.Mold)
		require.Equal(t, "P1", m.Pours)
		require.InDelta(t, 6.597, m.SetKg, 0.0005)
		require.InDelta(t, 4.603, m.DryKg, 0.0005)
		require.True(t, m.DryLower80 > 4.4 && m.DryLower80 < m.DryKg && m.DryKg < m.DryUpper80 && m.DryUpper80 < 4.8)
		require.Equal(t, tables.MakeDate(2025, 4, 9), m.WeighedOn)
		require.Equal(t, state, m.State, "%v kg", kg)
		require.InDelta(t, max(0, kg-m.DryKg), m.WaterKg, 1e-12)
		require.True(t, 0 <= m.WaterLow80 && m.WaterLow80 <= m.WaterKg && m.WaterKg <= m.WaterHigh80)
	}
}

func TestMoldsOfSeveralPours(t *testing.T) {
	first, second, failed, own, lone := pour("P1", 4), pour("P2", 2), pour("P3", 3), pour("P4", 1), pour("P5", 2)
	for _, p := range []*tables.Pour{&first, &second, &failed, &own, &lone} {
		p.LeftoverKg, p.TrimmedKg = 0, 0
	}
	second.Mold, failed.Mold, failed.Outcome, lone.Mold = "M1", "M1", "leaked", "M2"
	a := run(t, tables.Studio{Pours: tables.FrameOf(first, second, failed, own, lone),
		Molds: tables.FrameOf(mold("M1", "jug", "multi-part", "P1", "in use"), mold("M2", "jug", "multi-part", "", "in use")),
		Casts: tables.FrameOf(weighedCast("M2", 3, 9))})
	require.Len(t, a.Masses, 3)
	require.Equal(t, "P1, P2", a.Masses[0].Pours)
	require.InDelta(t, 6*0.99*gypsumPerKg, a.Masses[0].DryKg, 1e-9)
	require.Equal(t, stateNotWeighed, a.Masses[0].State)
	require.False(t, tables.Has(a.Masses[0].WaterKg))
	require.Equal(t, "", a.Masses[1].Mold)
	require.Equal(t, "P4", a.Masses[1].Pours)
	require.Equal(t, statePartOnly, a.Masses[2].State, "one pour of a multi-part mold")
}
