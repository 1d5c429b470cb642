package plaster

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/tables"
)

// poured is a pour on a day that needed 4 kg by its gaps, used so many times that,
// and of which so much was mixed.
func poured(day int, form, maker string, used, mixed float64) entry {
	e := entryFor(form, used)
	e.Date, e.Maker, e.PlasterKg = tables.MakeDate(2025, 1, day), maker, mixed
	e.weighed.leftover = mixed - 4*used
	return e
}

func TestMakersAreAdvisedOnTheirOwn(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 3))
	b := book{set: Defaults(), prices: priceList{labour: tables.Absent()}}
	formMean, makerMean := map[string]float64{"bowl": 0.04, "cup": -0.04}, map[string]float64{"A": 0.05, "B": -0.05}
	for i := range 400 {
		for form, f := range formMean {
			for maker, m := range makerMean {
				b.entries = append(b.entries, poured(1+i, form, maker, math.Exp(f+m+0.05*rng.NormFloat64()), 5))
			}
		}
	}
	var problems problemList
	all := b.estimates(&problems)
	rows := b.overmixFor(all)
	require.Len(t, rows, 1+2+2+4)
	for _, r := range rows {
		if r.Form == allForms || r.Maker == allMakers {
			continue
		}
		truth := distuv.LogNormal{Mu: formMean[r.Form] + makerMean[r.Maker], Sigma: 0.05}
		best := cheapestQuantity(truth, stockCosts{unitSpare: 1, shortage: 1})
		require.InDelta(t, max(0, best-1), r.AdvisedOvermixShare, 0.015, "%s by %s", r.Form, r.Maker)
		require.InDelta(t, 0.05, r.EstimateErrorSD, 0.005)
		require.InDelta(t, 0.25, r.UsualOvermixShare, 1e-9)
		require.EqualValues(t, 400, r.Pours)
	}
	a, _ := newAdviser(all)
	known, stranger := a.law("bowl", "A"), a.law("bowl", "Z")
	require.Greater(t, stranger.Sigma, known.Sigma, "a maker not seen yet")
	require.InDelta(t, 0.04, stranger.Mu, 0.02)
}

func TestReplayKnowsNothingOfItsOwnDayOrLater(t *testing.T) {
	b := book{set: Defaults(), prices: priceList{labour: tables.Absent(), plaster: []plasterPrice{{from: tables.NoDate, perKg: 2}}}}
	for i := range 12 {
		b.entries = append(b.entries, poured(1+i, "bowl", "A", 1+0.02*math.Sin(float64(i)), 6))
	}
	var problems problemList
	before := b.replay(b.estimates(&problems))
	require.Len(t, before, 12-fewestEstimates)
	b.entries = append(b.entries, poured(12, "bowl", "A", 1.4, 6), poured(13, "bowl", "A", 0.6, 6))
	after := b.replay(b.estimates(&problems))
	require.Equal(t, before, after[:len(before)])
	require.Greater(t, after[len(after)-1].advised, after[len(after)-2].advised, "a pour that used much more was learned from")
}

func TestReplayAddsUp(t *testing.T) {
	b := book{set: Defaults(), prices: priceList{labour: 10, plaster: []plasterPrice{{from: tables.NoDate, perKg: 2}}}}
	for i := range 20 {
		b.entries = append(b.entries, poured(1+i, "bowl", "A", 1, 6)) // always exactly the need, always half as much again
	}
	short := poured(25, "bowl", "A", 1, 3.9)
	short.Outcome, short.usable, short.weighed.leftover = "short", false, 0
	b.entries = append(b.entries, short)
	again := b.replay(b.estimates(&problemList{}))
	last := again[len(again)-1]
	require.InDelta(t, 1, last.short, 0)
	require.Greater(t, last.advised, 4.0)
	require.Less(t, last.shortAdvised, 0.2, "the advice would have filled the mold, as far as one can tell")
	require.InDelta(t, 3.9*2-last.advised*(1+last.shortAdvised), last.netKg(), 1e-12)
	require.InDelta(t, 2*last.netKg()+10*(1-last.shortAdvised), last.netCost(), 1e-12)

	rows := b.replayRows(again)
	all := rows[0]
	require.EqualValues(t, 18, all.Pours)
	require.EqualValues(t, 1, all.Short)
	require.InDelta(t, 17*6+3.9, all.MixedKg, 1e-9)
	require.InDelta(t, all.MixedKg-all.AdvisedKg, all.SpareSavedKg, 1e-9)
	require.Less(t, all.NetLower80, all.NetSavedKg)
	require.Greater(t, all.NetUpper80, all.NetSavedKg)
	for _, group := range []string{"form", "maker", "class"} {
		sum := 0.0
		for _, r := range rows {
			if r.Group == group {
				sum += r.NetSavedKg
			}
		}
		require.InDelta(t, all.NetSavedKg, sum, 1e-9, group)
	}
}

func TestChanceOfAShortPourGivenWhatTheLogSays(t *testing.T) {
	law := distuv.LogNormal{Mu: 0, Sigma: 0.1}
	at := func(b bound, seen, ratio float64) float64 {
		return estimate{observation: observation{math.Log(seen), b}}.chanceAbove(ratio, law)
	}
	require.Zero(t, at(exactly, 1, 1.01))
	require.InDelta(t, 1, at(exactly, 1.02, 1.01), 0)
	require.Zero(t, at(below, 1.1, 1.2))
	require.InDelta(t, (law.CDF(1.2)-law.CDF(1.1))/law.CDF(1.2), at(below, 1.2, 1.1), 1e-12)
	require.InDelta(t, 1, at(above, 1.2, 1.1), 0)
	require.InDelta(t, law.Survival(1.2)/law.Survival(1.1), at(above, 1.1, 1.2), 1e-12)
	require.InDelta(t, 1, at(above, 9, 10), 1, "far out in the tail it is still a chance")
}

func TestSumsAndTheirIntervals(t *testing.T) {
	rng := newLots(1, 9)
	var few, many []float64
	for i := range 900 {
		x := 3 + 2*rng.NormFloat64()
		if i < 100 {
			few = append(few, x)
		}
		many = append(many, x)
	}
	sum, low, high := sumWithInterval(few, rng)
	require.InDelta(t, 2*z80*2*10, high-low, 9)
	require.True(t, low < sum && sum < high)
	sum, low, high = sumWithInterval(many, rng)
	require.InDelta(t, 2*z80*2*30, high-low, 9)
	require.InDelta(t, (low+high)/2, sum, 1e-9)
	_, low, _ = sumWithInterval(few[:1], rng)
	require.False(t, tables.Has(low))
}
