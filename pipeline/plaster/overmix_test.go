package plaster

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/tables"
)

// Values by survreg of R's survival 3.5-3, gaussian, interval2.
func TestCensoredNormal(t *testing.T) {
	var obs []observation
	for _, v := range []float64{0.02, -0.05, 0.08, 0.01, 0.11, -0.02} {
		obs = append(obs, observation{v, exactly})
	}
	obs = append(obs, observation{0.05, above}, observation{0.10, above}, observation{0.03, below}, observation{0.12, below})
	mean, sd := fitCensored(obs, priorSpread{})
	require.InDelta(t, 0.0389900989739, mean, 1e-8)
	require.InDelta(t, 0.0648908788479, sd, 1e-8)

	mean, sd = fitCensored([]observation{{0.1, exactly}, {9, above}, {-9, below}}, priorSpread{variance: 0.01, df: 4})
	require.False(t, math.IsNaN(mean) || math.IsNaN(sd))
	_, sd = fitCensored([]observation{{0.1, exactly}}, priorSpread{variance: 0.01, df: 4})
	require.InDelta(t, math.Sqrt(0.04/5), sd, 1e-6)
}

// entryFor is a pour of which the mold took so many times its need of 4 kg.
func entryFor(form string, took float64) entry {
	p := pour("", 5)
	return entry{Pour: p, form: form, usable: true, needed: mass{4, 0.1}, balance: balance{weighed: weighed{5 - 4*took, tables.Absent(), tables.Absent()}}}
}

func TestOvermixFromTheStudiosOwnPours(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 2))
	b := book{set: Defaults(), prices: priceList{labour: tables.Absent()}}
	for range 400 {
		b.entries = append(b.entries, entryFor("bowl", math.Exp(0.03+0.06*r.NormFloat64())))
		b.entries = append(b.entries, entryFor("cup", math.Exp(-0.05+0.06*r.NormFloat64())))
	}
	var problems problemList
	rows := b.overmix(b.estimates(&problems))
	require.Empty(t, problems.rows)
	require.Len(t, rows, 3)
	require.Equal(t, allForms, rows[0].Form)
	for i, mean := range map[int]float64{1: 0.03, 2: -0.05} {
		truth := distuv.LogNormal{Mu: mean, Sigma: 0.06}
		best := cheapestQuantity(truth, stockCosts{unitSpare: 1, shortage: 1})
		require.InDelta(t, 0.06, rows[i].EstimateErrorSD, 0.004)
		require.InDelta(t, best-1, rows[i].AdvisedOvermixShare, 0.012)
		require.InDelta(t, 1-truth.CDF(best), rows[i].ChanceShort, 0.005)
	}
	b.prices.labour, b.prices.plaster = 30, []plasterPrice{{from: tables.NoDate, perKg: 1.5}}
	dearer := b.overmix(b.estimates(&problems))
	require.Greater(t, dearer[1].AdvisedOvermixShare, rows[1].AdvisedOvermixShare, "labour makes a lost mold dearer")
	require.Less(t, dearer[1].ChanceShort, rows[1].ChanceShort)
}

func TestShortPoursRaiseTheAdvice(t *testing.T) {
	b := book{set: Defaults(), prices: priceList{labour: tables.Absent()}}
	for _, x := range []float64{0.98, 1.0, 1.02, 1.05, 0.96} {
		b.entries = append(b.entries, entryFor("bowl", x))
	}
	var problems problemList
	before := b.overmix(b.estimates(&problems))
	short := entryFor("bowl", 1.1)
	short.Outcome, short.usable, short.weighed.leftover = "short", false, tables.Absent()
	short.PlasterKg = 4.4
	b.entries = append(b.entries, short)
	after := b.overmix(b.estimates(&problems))
	require.Greater(t, after[1].AdvisedOvermixShare, before[1].AdvisedOvermixShare)

	leaked := entryFor("bowl", 0.9)
	leaked.Outcome, leaked.usable = "leaked", false
	b.entries = append(b.entries, leaked)
	require.Equal(t, after, b.overmix(b.estimates(&problems)), "a leak tells nothing of the estimate")
	require.Empty(t, problems.rows)
}

func TestAFormWithFewPoursLeansOnAll(t *testing.T) {
	b := book{set: Defaults(), prices: priceList{labour: tables.Absent()}}
	for i := range 30 {
		b.entries = append(b.entries, entryFor("bowl", math.Exp(0.05*math.Sin(float64(i)))))
		b.entries = append(b.entries, entryFor("cup", math.Exp(0.10+0.05*math.Sin(float64(i)))))
	}
	b.entries = append(b.entries, entryFor("vase", math.Exp(0.3)))
	all := b.estimates(&problemList{})
	s := spreadOf(all)
	require.Greater(t, s.between, 0.0)
	vase := s.forms[2]
	require.Equal(t, "vase", vase.name)
	mu := s.predict(vase).Mu
	require.Greater(t, mu, s.mean)
	require.Less(t, mu, 0.3)
	require.InDelta(t, s.forms[1].mean, s.predict(s.forms[1]).Mu, 0.005, "a form with many pours stands on its own")
}

func TestNoAdviceFromTooFewPoursAndSlipsOfThePenAreTold(t *testing.T) {
	b := book{set: Defaults(), prices: priceList{labour: tables.Absent()}}
	b.entries = append(b.entries, entryFor("bowl", 1), entryFor("bowl", 1.01))
	var problems problemList
	require.Empty(t, b.overmix(b.estimates(&problems)))
	b.entries = append(b.entries, entryFor("bowl", 0.3))
	require.Empty(t, b.overmix(b.estimates(&problems)))
	require.Equal(t, "estimate-far-off", problems.rows[0].Code)
}
