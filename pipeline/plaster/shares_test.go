package plaster

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

// pourWith is a pour of a class of which a share of 4 kg is waste.
func pourWith(class string, share float64) entry {
	p := pour("", 4)
	p.Class = class
	return entry{Pour: p, usable: true, balance: balance{waste: 4 * share, inMold: 4 * (1 - share)}}
}

func classes(b book) map[string]tables.WasteBy {
	out := map[string]tables.WasteBy{}
	for _, r := range b.wasteBy() {
		if r.Group == "class" {
			out[r.Value] = r
		}
	}
	return out
}

// drawn are pours of a class of which some fail and lose all.
func drawn(r *rand.Rand, class string, n int, fails float64) []entry {
	var out []entry
	for range n {
		share := 0.08 + 0.06*r.Float64()
		if r.Float64() < fails {
			share = 1
		}
		out = append(out, pourWith(class, share))
	}
	return out
}

func TestAClassOfTwoPoursIsNotCalledTheWorst(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	b := book{set: Defaults()}
	for _, class := range []string{"A", "B", "C"} {
		b.entries = append(b.entries, drawn(r, class, 15, 0.2)...)
	}
	b.entries = append(b.entries, drawn(r, "heavy", 20, 0.8)...)
	b.entries = append(b.entries, pourWith("two", 1), pourWith("two", 0.9), pourWith("one", 0.02))
	got := classes(b)
	require.InDelta(t, 0.95, got["two"].WasteShare, 1e-12)
	require.Equal(t, verdictUsual, got["two"].Verdict)
	require.Less(t, got["two"].ShrunkShare, got["heavy"].ShrunkShare, "the worst is the class that many pours show")
	require.Less(t, got["two"].Lower80, 0.6)
	require.Greater(t, got["two"].Upper80-got["two"].Lower80, got["heavy"].Upper80-got["heavy"].Lower80)
	require.Equal(t, verdictAbove, got["heavy"].Verdict)
	require.Greater(t, got["heavy"].WasteShare, got["heavy"].UsualUpper)
	require.Equal(t, verdictUsual, got["one"].Verdict)
}

// Pours dealt to classes without looking: no more than one grouping in twenty
// may have any class called.
func TestOrdinaryScatterIsNotCalledAProblem(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 1))
	called, n := 0, 250
	for range n {
		b := book{set: Defaults()}
		for i := range 40 {
			b.entries = append(b.entries, drawn(r, fmt.Sprint("c", min(i/3, 5)), 1, 0.25)...)
		}
		rows, members := b.groups("class", func(e *entry) string { return e.Class })
		shares, _ := b.sharesOf(members)
		newUsualShares(b.entries).judge(rows, shares)
		for _, c := range rows {
			if c.Verdict != verdictUsual {
				called++
				break
			}
		}
	}
	require.LessOrEqual(t, called, n/20+7, "250 groupings, 12.5 expected at most")
}

// The normal limits of many pours agree with dealing them out.
func TestLimitsOfLargeGroups(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	u := newUsualShares(drawn(r, "A", 400, 0.3))
	low, high := u.normalLimits(150, 0.005)
	shares := u.deal(150)
	require.InDelta(t, shares[50], low, 0.01)
	require.InDelta(t, shares[deals-51], high, 0.01)
	low, high = u.limits(150, 0.005)
	require.True(t, low > 0 && low < u.all.share() && high > u.all.share())
}

func TestSharesOfAlmostNothing(t *testing.T) {
	b := book{set: Defaults(), entries: []entry{pourWith("A", 0.1)}}
	got := classes(b)["A"]
	require.InDelta(t, 0.1, got.ShrunkShare, 1e-9)
	require.Equal(t, "", got.Verdict, "nothing to compare with")
	unknown := entry{Pour: pour("", 4), usable: true, balance: balance{waste: tables.Absent()}}
	b.entries = []entry{unknown}
	require.False(t, tables.Has(classes(b)[notGiven].ShrunkShare))
	b.entries = []entry{unknown, pourWith("A", 0.1), pourWith("B", 0.1), pourWith("C", 1)}
	for class, c := range classes(b) {
		if class != notGiven {
			require.True(t, c.Lower80 >= 0 && c.Lower80 <= c.ShrunkShare && c.ShrunkShare <= c.Upper80 && c.Upper80 <= 1)
			require.Equal(t, verdictUsual, c.Verdict)
		}
	}
}
