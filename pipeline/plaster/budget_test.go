package plaster

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/tables"
)

// Values by qgamma of R 4.2.2, shape 40²/90, rate 40/90.
func TestQuantilesOfACompound(t *testing.T) {
	c := compound{mean: 40, variance: 90}
	require.InDelta(t, 28.4250851744, c.quantile(0.1), 1e-6)
	require.InDelta(t, 39.2525515722, c.quantile(0.5), 1e-6)
	require.InDelta(t, 52.5373077939, c.quantile(0.9), 1e-6)
	require.Zero(t, compound{}.quantile(0.9))
}

// Simulated terms: the rate from a gamma distribution, a Poisson number of pours, plaster
// per pour with the mean known as well as n pours know it.
func TestCompoundAgainstSimulation(t *testing.T) {
	src := rand.NewPCG(5, 9)
	r := rand.New(src)
	var kg []float64
	for range 24 {
		kg = append(kg, 3+r.Float64()*4)
	}
	m := meanOf(kg)
	for _, periods := range []float64{1, 2} {
		c := compoundOf(kg, periods)
		rate := distuv.Gamma{Alpha: 24.5, Beta: periods, Src: src}
		var totals []float64
		for range 20000 {
			mean := m + math.Sqrt(4./3/24)*r.NormFloat64()
			var total float64
			for range int(distuv.Poisson{Lambda: rate.Rand(), Src: src}.Rand()) {
				total += mean + (r.Float64()-0.5)*4
			}
			totals = append(totals, total)
		}
		slices.Sort(totals)
		for _, p := range []float64{0.1, 0.5, 0.9} {
			require.InEpsilon(t, totals[int(p*20000)], c.quantile(p), 0.04, "%v periods, %v", periods, p)
		}
	}
}

func TestHalfYearsAndSeasons(t *testing.T) {
	h := halfYear(tables.MakeDate(2025, 7, 1))
	require.Equal(t, "2025-07-01 to 2025-12-31", h.String())
	require.Equal(t, "2025-08-31 to 2026-02-27", halfYear(tables.MakeDate(2025, 8, 31)).String(), "February has no 31st")
	require.InDelta(t, 184, h.days(), 0)
	like := likePeriods(h, tables.MakeDate(2023, 7, 20))
	require.Len(t, like, 2, "a log that began within a month of the season has seen it")
	require.Equal(t, "2023-07-01 to 2023-12-31", like[1].String())
	require.Empty(t, likePeriods(h, tables.MakeDate(2024, 9, 1)))
}

// pouredOn are pours of a class, one a day from a day on.
func pouredOn(class string, year int, month time.Month, kg ...float64) []entry {
	var out []entry
	for i, x := range kg {
		p := pour("", x)
		p.Date, p.Class = tables.MakeDate(year, month, 1+i), class
		out = append(out, entry{Pour: p, usable: true, balance: balanceOf(x, true, weighed{leftover: x / 10, spilled: tables.Absent(), trimmed: tables.Absent()}, noMass(), plainHabits(), Defaults())})
	}
	return out
}

func TestBudgetOfTheLikeSeason(t *testing.T) {
	b := book{set: Defaults(), prices: priceList{plaster: []plasterPrice{{from: tables.NoDate, perKg: 2}}}}
	b.entries = append(b.entries, pouredOn("spring", 2024, 3, 9, 9, 9)...)
	b.entries = append(b.entries, pouredOn("autumn", 2024, 9, 4, 5, 6, 5)...)
	b.entries = append(b.entries, pouredOn("", 2024, 10, 3)...)
	rows, savings := b.budget(tables.MakeDate(2025, 6, 30), 25)
	var classes []string
	for _, r := range rows {
		classes = append(classes, r.Class)
		require.Equal(t, "2025-07-01 to 2025-12-31", r.Period)
		require.Less(t, r.PlasterKgP10, r.PlasterKgP50)
		require.Less(t, r.PlasterKgP50, r.PlasterKgP90)
		require.EqualValues(t, math.Ceil(r.PlasterKgP90/25), r.Bags)
		require.InDelta(t, 2*r.PlasterKgP50, r.CostP50, 1e-9)
	}
	require.Equal(t, []string{"autumn", notGiven, allClasses}, classes)
	require.InDelta(t, 20, rows[0].PlasterKgP50, 2.5)
	require.Len(t, savings, 1)
	require.Equal(t, "halving the plaster left over", savings[0].Change)
	require.InDelta(t, 23*0.1/2, savings[0].PlasterKg, 0.1)
	require.InDelta(t, rows[2].PlasterKgP50*0.1/2, savings[0].PlasterKg, 1e-9)
	require.InDelta(t, 2*savings[0].PlasterKg, savings[0].Cost, 1e-9)
}

func TestBudgetOfAYoungLog(t *testing.T) {
	b := book{set: Defaults()}
	b.entries = pouredOn("autumn", 2025, 3, 5, 5, 5, 5, 5, 5)
	rows, _ := b.budget(tables.MakeDate(2025, 6, 30), 25)
	// 30 kg in the 122 days of the log, 184 days to come.
	require.InDelta(t, 30*184/122., rows[0].PlasterKgP50, 2)
	require.False(t, tables.Has(rows[0].CostP50))
	none, _ := b.budget(tables.NoDate, 25)
	require.Empty(t, none)
}
