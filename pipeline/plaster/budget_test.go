package plaster

import (
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

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

// inOrder puts entries of all classes oldest first, as the book holds them.
func inOrder(groups ...[]entry) []entry {
	all := slices.Concat(groups...)
	slices.SortStableFunc(all, func(a, b entry) int { return int(a.Date - b.Date) })
	return all
}

// years are the same pours each spring and each autumn.
func years(class string, from, to int, spring, autumn []float64) []entry {
	var out []entry
	for y := from; y <= to; y++ {
		out = append(out, pouredOn(class, y, time.February, spring...)...)
		out = append(out, pouredOn(class, y, time.October, autumn...)...)
	}
	return out
}

func rowOf(t *testing.T, rows []tables.Budget, class string) tables.Budget {
	t.Helper()
	i := slices.IndexFunc(rows, func(r tables.Budget) bool { return r.Class == class })
	require.GreaterOrEqual(t, i, 0, class)
	return rows[i]
}

func TestBudgetOfASteadyStudio(t *testing.T) {
	b := book{set: Defaults(), prices: priceList{labour: tables.Absent(), plaster: []plasterPrice{{from: tables.NoDate, perKg: 2}}}}
	b.links = links{molds: []moldFacts{{}, {goodCasts: 70}}, made: grouped{from: []int32{0, 1}, all: []int32{1}}}
	ten := slices.Repeat([]float64{4, 6}, 5)
	b.entries = inOrder(years("evening", 2022, 2025, nil, ten), years("day", 2022, 2025, ten, ten[:4]))
	rows, ahead := b.budget(tables.MakeDate(2026, 5, 20), 25)
	require.Equal(t, "2026-07-01 to 2026-12-31", ahead.coming.String())
	var classes []string
	for _, r := range rows {
		classes = append(classes, r.Class)
		require.Less(t, r.PlasterKgP10, r.PlasterKgP50)
		require.Less(t, r.PlasterKgP50, r.PlasterKgP90)
		require.EqualValues(t, math.Ceil(r.PlasterKgP90/25), r.Bags)
		require.InDelta(t, 2*r.PlasterKgP10, r.CostP10, 1e-9)
		require.InDelta(t, 2*r.PlasterKgP90, r.CostP90, 1e-9)
		require.Equal(t, basisForecast, r.Basis)
		require.InDelta(t, 2*5/70., r.CostPerGoodCast, 0.005)
	}
	require.Equal(t, []string{"day", "evening", allClasses}, classes)
	require.InDelta(t, 50, rowOf(t, rows, "evening").PlasterKgP50, 5)
	require.InDelta(t, 20, rowOf(t, rows, "day").PlasterKgP50, 5)
	all := rowOf(t, rows, allClasses)
	require.InDelta(t, 70, all.PlasterKgP50, 6)
	require.InDelta(t, 14, all.PoursP50, 1)
	require.Less(t, all.PlasterKgP90-all.PlasterKgP10, 70.)

	again, _ := b.budget(tables.MakeDate(2026, 5, 20), 25)
	require.Equal(t, rows, again, "the same seed, the same budget")
	b.set.Seed++
	other, _ := b.budget(tables.MakeDate(2026, 5, 20), 25)
	require.NotEqual(t, rows, other)
	require.InEpsilon(t, rowOf(t, other, allClasses).PlasterKgP90, all.PlasterKgP90, 0.05)
}

func TestTheSeasonIsTheComingOne(t *testing.T) {
	b := book{set: Defaults()}
	b.entries = years("c", 2022, 2025, slices.Repeat([]float64{5}, 12), []float64{5, 5, 5})
	spring, _ := b.budget(tables.MakeDate(2025, 11, 30), 25)
	autumn, _ := b.budget(tables.MakeDate(2026, 5, 30), 25)
	require.Greater(t, rowOf(t, spring, "c").PlasterKgP50, 45.)
	require.Less(t, rowOf(t, autumn, "c").PlasterKgP50, 25.)
	require.False(t, tables.Has(spring[0].CostP50), "no price")
}

func TestYearsThatDifferWidenTheInterval(t *testing.T) {
	steady, wild := book{set: Defaults()}, book{set: Defaults()}
	for y, n := range map[int]int{2021: 12, 2022: 12, 2023: 12, 2024: 12, 2025: 12} {
		steady.entries = append(steady.entries, pouredOn("c", y, time.March, slices.Repeat([]float64{5}, n)...)...)
	}
	for y, n := range map[int]int{2021: 4, 2022: 26, 2023: 7, 2024: 20, 2025: 3} {
		wild.entries = append(wild.entries, pouredOn("c", y, time.March, slices.Repeat([]float64{5}, n)...)...)
	}
	width := func(b book) float64 {
		b.entries = inOrder(b.entries)
		rows, ahead := b.budget(tables.MakeDate(2025, 12, 31), 25)
		r := rowOf(t, rows, allClasses)
		if ahead.model.spread < ahead.model.poisson {
			return r.PlasterKgP90 - r.PlasterKgP10
		}
		return -(r.PlasterKgP90 - r.PlasterKgP10)
	}
	s, w := width(steady), width(wild)
	require.Negative(t, s, "Poisson by AICc")
	require.Positive(t, w, "negative binomial by AICc")
	require.Greater(t, w, 1.3*-s)
}

func TestBudgetOfAYoungLog(t *testing.T) {
	b := book{set: Defaults()}
	b.entries = pouredOn("autumn", 2025, 3, 5, 5, 5, 5, 5, 5)
	rows, ahead := b.budget(tables.MakeDate(2025, 6, 30), 25)
	// 30 kg in the 122 days of the log, 184 days to come, in another season.
	require.InDelta(t, 30*184/122., rows[0].PlasterKgP50, 6)
	require.Greater(t, rows[0].PlasterKgP90/rows[0].PlasterKgP50, 1.5)
	require.Zero(t, ahead.model.likeYears)
	none, _ := b.budget(tables.NoDate, 25)
	require.Empty(t, none)
	days, _ := b.budget(tables.MakeDate(2025, 3, 8), 25)
	require.Less(t, days[0].PlasterKgP50, 130., "six pours in a week are not six a week for ever")
}

func TestPlannedPours(t *testing.T) {
	b := book{set: Defaults()}
	b.entries = inOrder(years("day", 2023, 2025, []float64{5, 5, 5}, []float64{5, 5, 5}), years("evening", 2023, 2025, []float64{8, 8}, []float64{8, 8}))
	b.set.PlannedPours = map[string]int{" Day ": 40, "guests": 10}
	rows, _ := b.budget(tables.MakeDate(2025, 12, 31), 25)
	day := rowOf(t, rows, "day")
	require.Equal(t, basisPlanned, day.Basis)
	require.EqualValues(t, [3]float64{40, 40, 40}, [3]float64{day.PoursP10, day.PoursP50, day.PoursP90})
	require.InDelta(t, 200, day.PlasterKgP50, 20)
	require.InDelta(t, 60, rowOf(t, rows, "guests").PlasterKgP50, 12, "a class without pours leans on all")
	require.Equal(t, basisForecast, rowOf(t, rows, "evening").Basis)
	all := rowOf(t, rows, allClasses)
	require.Equal(t, basisMixed, all.Basis)
	require.InDelta(t, 50+2, all.PoursP50, 2)
	require.Contains(t, b.planNotes()[1], "No pour on file is of class guests, for which")

	b.set.PlannedPours = map[string]int{"day": 0, "evening": 0}
	rows, _ = b.budget(tables.MakeDate(2025, 12, 31), 25)
	require.Zero(t, rowOf(t, rows, allClasses).PlasterKgP90)
	require.Equal(t, basisPlanned, rowOf(t, rows, allClasses).Basis)
}

func TestClassesThatComeAndGo(t *testing.T) {
	b := book{set: Defaults()}
	groups := [][]entry{years("gone", 2021, 2022, []float64{5, 5, 5, 5}, []float64{5, 5, 5, 5}), years("new", 2024, 2025, slices.Repeat([]float64{5}, 8), slices.Repeat([]float64{5}, 8))}
	for c := range 20 {
		groups = append(groups, years("small "+string(rune('a'+c)), 2023, 2025, []float64{1}, []float64{1}))
	}
	b.entries = inOrder(groups...)
	rows, _ := b.budget(tables.MakeDate(2025, 12, 31), 25)
	require.Len(t, rows, mostClasses+2, "twelve, the others, all")
	require.InDelta(t, 40, rowOf(t, rows, "new").PlasterKgP50, 8, "the years before it was there do not count")
	require.False(t, slices.ContainsFunc(rows, func(r tables.Budget) bool { return r.Class == "gone" }))
	require.Equal(t, otherClasses, rows[len(rows)-2].Class)
}
