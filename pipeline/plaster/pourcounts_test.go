package plaster

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/tables"
)

// termsOf are terms of like length, seasons in turn, the coming one a like one.
func termsOf(class int, pours ...float64) []cell {
	coming := span{0, 99}
	var out []cell
	for i, n := range pours {
		out = append(out, cell{class: class, window: window{span: coming, like: i%2 == 1, exposure: 100}, pours: n})
	}
	return out
}

// Simulated studios: rates, seasons and scatter between years are drawn as the
// model believes, so its intervals must hold as often as they say.
func TestForecastCountsHoldAsOftenAsTheySay(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 7))
	const studios = 400
	held, coming := 0, span{0, 99}
	for range studios {
		level, season := 1+1.5*rng.Float64(), seasonsScale*math.Abs(rng.NormFloat64())*rng.NormFloat64()
		cv := betweenTermsScale * math.Abs(rng.NormFloat64())
		one := func(like bool) float64 {
			s := season / 2
			if !like {
				s = -s
			}
			mean := math.Exp(level + s)
			if cv > 0.01 {
				mean *= distuv.Gamma{Alpha: 1 / (cv * cv), Beta: 1 / (cv * cv), Src: rng}.Rand()
			}
			return distuv.Poisson{Lambda: mean, Src: rng}.Rand()
		}
		m, ok := fitPours(termsOf(0, one(false), one(true), one(false), one(true)), 1, coming)
		if !ok {
			held++
			continue
		}
		var draws []float64
		for range 400 {
			draws = append(draws, m.draw(0, rng))
		}
		if q, truth := quantiles(draws), one(true); truth >= q[0] && truth <= q[2] {
			held++
		}
	}
	// Counts are whole, so that the interval holds a little more than 80 %.
	require.InDelta(t, 0.84, float64(held)/studios, 0.06)
}

func TestAClassWithFewTermsLeansOnAll(t *testing.T) {
	var cells []cell
	for c := range 5 {
		cells = append(cells, termsOf(c, 10, 20, 10, 20)...)
	}
	cells = append(cells, termsOf(5, 10)...) // seen in the other season only
	m, ok := fitPours(cells, 6, span{0, 99})
	require.True(t, ok)
	rng := rand.New(rand.NewPCG(1, 1))
	middle := func(class int) float64 {
		var draws []float64
		for range 4000 {
			draws = append(draws, m.draw(class, rng))
		}
		return quantiles(draws)[1]
	}
	require.InDelta(t, 20, middle(0), 2)
	require.InDelta(t, 18, middle(5), 4, "the season of the other classes is taken for its own")
}

func TestTheUrnIsPolyas(t *testing.T) {
	rng := newLots(4, 4)
	u := urn{own: 3, all: 2}
	pours := []int{0, 0, 0, 0, 1}
	const n = 40000
	ones, both := 0.0, 0.0
	for range n {
		var got []int
		slots, times := u.draw(2, rng)
		require.InDelta(t, 1, times, 0)
		for _, slot := range slots {
			got = append(got, pours[slot])
		}
		ones += float64(got[0]) / n
		both += float64(got[0]*got[1]) / n
	}
	// Of 3 own and a lean of 3, half on pour 1: the first is 1 with chance 1/4, both with 1/4 · 2.5/7.
	require.InDelta(t, 0.25, ones, 0.01)
	require.InDelta(t, 0.25*2.5/7, both, 0.01)

	slots, times := u.draw(5000.5, rng)
	require.InDelta(t, 5000.5, float64(len(slots))*times, 1e-6)
	slots, _ = u.draw(math.NaN(), rng)
	require.Empty(t, slots, "no pours")
	slots, _ = (&urn{}).draw(3, rng)
	require.Empty(t, slots, "no pours")
}

func TestWhatHalvingSaves(t *testing.T) {
	b := book{set: Defaults(), prices: priceList{labour: tables.Absent(), plaster: []plasterPrice{{from: tables.NoDate, perKg: 2}}}}
	b.entries = years("c", 2021, 2025, slices.Repeat([]float64{5}, 10), slices.Repeat([]float64{5}, 10))
	for i := range b.entries {
		if i%4 == 0 {
			e := &b.entries[i]
			e.usable, e.Outcome = false, "leaked"
			e.balance = balanceOf(5, false, e.weighed, noMass(), plainHabits(), b.set)
		}
	}
	rows, ahead := b.budget(tables.MakeDate(2025, 12, 31), 25)
	changes := b.whatIf(ahead, nil, nil)
	require.Len(t, changes, 2)
	all := rowOf(t, rows, allClasses).PlasterKgP50
	failed, left := changes[0], changes[1]
	require.Equal(t, "halving the failed pours", failed.Change)
	require.InDelta(t, all*0.25/2, failed.SavedKg, 1.5)
	require.InDelta(t, all*0.75*0.1/2, left.SavedKg, 0.5)
	for _, c := range changes {
		require.Less(t, c.SavedLower80, c.SavedKg)
		require.Less(t, c.SavedKg, c.SavedUpper80)
		require.InDelta(t, 2*c.SavedKg, c.SavedCost, 1e-9)
		require.InDelta(t, all, c.PlasterKg+c.SavedKg, 3)
		require.NotEmpty(t, c.Basis)
	}
	require.Len(t, savingsOf(changes), 2)
}
