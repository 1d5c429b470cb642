package plaster

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

func dryOf(leftover, spilled, trimmed float64) weighed { return weighed{leftover, spilled, trimmed} }

func sumOf(p parts) float64 { return p.leftover + p.spilled + p.trimmed + p.failed + p.unexplained }

// At consistency 70, 1.7 kg of slurry hold 1 kg of plaster (definition).
func TestWeighingsAsDryPlaster(t *testing.T) {
	p := pour("P1", 4)
	p.LeftoverKg, p.SpilledKg, p.TrimmedKg = 1.7, 0.34, 0.17
	p.SpilledBasis = tables.AsDry
	var problems problemList
	w := weighedParts(p, slurry70(), &problems)
	require.Empty(t, problems.rows)
	require.InDelta(t, 1, w.leftover, 1e-12)
	require.InDelta(t, 0.34, w.spilled, 1e-12)
	require.InDelta(t, 0.1, w.trimmed, 1e-12)

	p.LeftoverKg = -1
	w = weighedParts(p, slurry70(), &problems)
	require.False(t, tables.Has(w.leftover))
	require.Equal(t, "mass-impossible", problems.rows[0].Code)
}

// plainHabits are of a studio where nothing goes unweighed, within 2 % of the mix.
func plainHabits() habits {
	return habits{residue: habit{0, 0.02}, spilled: habit{0, 0.02}, trimmed: habit{0, 0}, scale: 1}
}

func TestBalanceOfAGoodPour(t *testing.T) {
	a := tables.Absent()
	h := plainHabits()
	b := balanceOf(4, true, dryOf(0.3, a, 0.1), noMass(), h, Defaults())
	require.InDelta(t, 0.4, b.waste, 1e-12, "weighed only")
	require.InDelta(t, 3.6, b.inMold, 1e-12)
	require.InDelta(t, 0, b.parts.unexplained, 1e-12)
	require.InDelta(t, z80*0.02*4, b.high-b.waste, 0.001, "what nobody weighs")

	b = balanceOf(4, true, dryOf(a, a, a), mass{3.5, 0.1}, h, Defaults())
	require.InDelta(t, 0.5, b.waste, 1e-12, "by the gaps only")
	require.InDelta(t, 0.5, b.parts.unexplained, 1e-12)
	require.InDelta(t, z80*math.Hypot(0.04, 0.1), b.high-b.waste, 1e-12)
	require.InDelta(t, 0.5-z80*math.Hypot(0.04, 0.1), b.restLow, 1e-12)

	b = balanceOf(4, true, dryOf(0.3, a, a), mass{3.5, 0.1}, h, Defaults())
	v1, v2 := math.Pow(0.02*4, 2)+math.Pow(0.01*0.3, 2), math.Pow(0.04, 2)+math.Pow(0.1, 2)
	require.InDelta(t, (0.3/v1+0.5/v2)/(1/v1+1/v2), b.waste, 1e-12, "both, by inverse variance")
	require.InDelta(t, z80/math.Sqrt(1/v1+1/v2), b.high-b.waste, 1e-12)
	require.Equal(t, causeLeftover, b.parts.main())

	far := balanceOf(4, true, dryOf(0.1, a, a), mass{2.5, 0.1}, h, Defaults())
	require.True(t, far.low < 0.15 && far.high > 1.45, "where the two contradict each other the interval holds both")

	b = balanceOf(4, true, dryOf(a, 0.2, a), noMass(), h, Defaults())
	require.False(t, b.known(), "nobody weighed the leftover and no gaps tell the need: not known, not none")
	require.False(t, tables.Has(b.inMold) || tables.Has(b.low) || tables.Has(b.high))

	b = balanceOf(4, true, dryOf(0, a, a), noMass(), h, Defaults())
	require.Zero(t, b.waste, "weighed as nothing is nothing")
	require.Equal(t, "", b.parts.main())
}

// Worked by hand: of 4 kg, 0.3 kg was left over and 1 % stays in the bucket, so
// 3.66 kg were in the mold, of which 2 % were trimmed off.
func TestWhatNobodyWeighedIsExpected(t *testing.T) {
	a := tables.Absent()
	h := habits{residue: habit{0.01, 0.01}, spilled: habit{0.03, 0.02}, trimmed: habit{0.02, 0.015}, scale: 1}
	b := balanceOf(4, true, dryOf(0.3, 0, a), noMass(), h, Defaults())
	require.InDelta(t, 0.3+0.04+0.02*3.66, b.waste, 1e-12)
	require.InDelta(t, 0.04+0.02*3.66, b.parts.unexplained, 1e-12)
	require.InDelta(t, z80*math.Sqrt(0.04*0.04+0.003*0.003+math.Pow(0.015*3.66, 2)), b.high-b.waste, 1e-12)
	b = balanceOf(4, true, dryOf(0.3, a, 0.1), noMass(), h, Defaults())
	require.InDelta(t, 0.3+0.12+0.1, b.waste, 1e-12, "a spill that nobody weighed is in the habit")
}

// The values are of R 4.2.2: testdata/plaster/habits.R.
func TestHabitsAreLearned(t *testing.T) {
	l := learn([]float64{0.012, 0.03, 0.021, 0.008, 0.017}, 0.01, 0.0004)
	require.InDelta(t, 0.01475, l.mean, 1e-12)
	require.InDelta(t, 0.0001996875, l.variance, 1e-12)
	require.InDelta(t, 1.396815309744/z80, l.wider(), 1e-9)
	require.Equal(t, learned{0.01, 0.0004, habitPours}, learn(nil, 0.01, 0.0004), "nothing seen: what is usual")
}

func TestHabitsOfAStudio(t *testing.T) {
	a := tables.Absent()
	var entries []entry
	for i := range 40 {
		e := entry{Pour: pour("P", 4), usable: true, needed: mass{3.5, 0.05}, balance: balance{weighed: dryOf(0.3, 0.1, 0.11)}}
		e.PlasterKg += 0.01 * float64(i%5)
		if i%2 == 1 {
			e.weighed = dryOf(0.3, a, a)
		}
		entries = append(entries, e)
	}
	entries = append(entries, entry{Pour: pour("slip of the pen", 40), usable: true, needed: mass{3.5, 0.05}, balance: balance{weighed: dryOf(0.3, 0, a)}},
		entry{Pour: pour("failed", 4), needed: mass{3.5, 0.05}, balance: balance{weighed: dryOf(3, 0, a)}})
	h := habitsOf(entries, Defaults())
	require.InDelta(t, 0.12/4.02, h.residue.mean, 0.004, "4.02 kg less 3.5, 0.3 and 0.1")
	require.InDelta(t, 0.22/4.02, h.spilled.mean, 0.004, "spills that nobody weighed are in it")
	require.InDelta(t, 0.11/3.62, h.trimmed.mean, 0.002)
	require.Less(t, h.scale, 1.0, "these pours scatter less than readings would")
	none := habitsOf(nil, Defaults())
	require.Equal(t, usualResidue, none.residue.mean)
	require.Equal(t, usualTrimmed, none.trimmed.mean)
	require.Equal(t, 1.0, none.scale)
}

func TestAFailedPourIsLostWhole(t *testing.T) {
	a := tables.Absent()
	b := balanceOf(4, false, dryOf(0.3, 0.5, a), mass{3.5, 0.1}, plainHabits(), Defaults())
	require.Equal(t, []float64{4, 0}, []float64{b.waste, b.inMold})
	require.InDelta(t, 3.2, b.parts.failed, 1e-12)
	require.Equal(t, causeFailed, b.parts.main())
	b = balanceOf(4, false, dryOf(5, a, a), noMass(), plainHabits(), Defaults())
	require.InDelta(t, -1, b.parts.unexplained, 1e-12)
	require.InDelta(t, 4, sumOf(b.parts), 1e-12)
}

func TestThePartsAddToTheWaste(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	some := func(scale float64) float64 {
		if r.Float64() < 0.4 {
			return tables.Absent()
		}
		return scale * r.Float64()
	}
	for range 5000 {
		mixed := 0.5 + 8*r.Float64()
		need := noMass()
		if r.Float64() < 0.6 {
			need = mass{mixed * (0.5 + r.Float64()), 0.2 * r.Float64()}
		}
		b := balanceOf(mixed, r.Float64() < 0.7, dryOf(some(mixed), some(mixed/2), some(mixed/2)), need, habitsFrom(nil, nil, nil, 0.001), Defaults())
		if !b.known() {
			continue
		}
		require.InDelta(t, b.waste, sumOf(b.parts), 1e-12)
		require.InDelta(t, mixed, b.inMold+b.waste, 1e-12)
		require.True(t, 0 <= b.waste && b.waste <= mixed)
		require.True(t, b.low <= b.waste && b.waste <= b.high && b.low >= 0)
	}
}

// The interval holds the true waste of simulated pours in four of five.
func TestTheIntervalHoldsItsLevel(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 3))
	set := Defaults()
	held := 0
	const n = 4000
	for range n {
		need, leftover := 3.5, 0.6
		unweighed := 0.02 * 4.1 * r.NormFloat64()
		mixed := need + leftover + unweighed
		w := dryOf(leftover*(1+set.WeighingShare*r.NormFloat64()), tables.Absent(), tables.Absent())
		b := balanceOf(mixed*(1+set.WeighingShare*r.NormFloat64()), true, w, mass{need + 0.1*r.NormFloat64(), 0.1}, plainHabits(), set)
		if truth := mixed - need; b.low <= truth && truth <= b.high {
			held++
		}
	}
	require.InDelta(t, 0.80, float64(held)/n, 0.025)
}

func TestOddBalancesAreTold(t *testing.T) {
	a := tables.Absent()
	for _, c := range []struct {
		code   string
		w      weighed
		needed mass
	}{
		{"more-than-mixed", dryOf(4.5, a, a), noMass()},
		{"more-than-mixed", dryOf(0.2, a, a), mass{5, 0.2}},
		{"unexplained-plaster", dryOf(0.2, a, a), mass{2.5, 0.1}},
		{"", dryOf(0.2, a, a), mass{3.9, 0.2}},
		{"", dryOf(a, a, a), mass{2.5, 0.1}},
	} {
		var problems problemList
		oddBalance(pour("P1", 4), true, c.w, c.needed, Defaults(), &problems)
		if c.code == "" {
			require.Empty(t, problems.rows)
			continue
		}
		require.Len(t, problems.rows, 1)
		require.Equal(t, c.code, problems.rows[0].Code)
	}
}

func TestOddConsistencies(t *testing.T) {
	for c, code := range map[float64]string{70: "", 60: "", 80: "", 59.8: "", 50: "odd-consistency", 95: "odd-consistency", 143: "ratio-inverted", 120: "ratio-inverted", 300: "odd-consistency"} {
		var problems problemList
		oddConsistency(pour("P1", 4), c, &problems)
		if code == "" {
			require.Empty(t, problems.rows, "%v", c)
			continue
		}
		require.Equal(t, code, problems.rows[0].Code, "%v", c)
	}
}
