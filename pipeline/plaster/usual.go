package plaster

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/tables"
)

const (
	// In one of so many groupings any group at all is called unusual by chance.
	callsInGroupings = 20
	// Groups of more pours have limits by the normal law.
	mostDealt = 50
	// Hands dealt for a limit.
	deals = 10000
)

// Verdicts on the share of waste of a group of pours.
const (
	verdictUsual = "usual"
	verdictAbove = "above usual"
	verdictBelow = "below usual"
)

// usualShares are the shares of waste that a group of so many pours has by
// chance: when it is dealt from all pours without looking. Pours are either
// good or lost whole, so that the normal law is far off for small groups;
// those are dealt out in fact (a permutation test: Fisher 1935, Pitman 1937; from
// memory).
type usualShares struct {
	pours   []lost            // whose waste is known
	all     shareOf           // of them together
	squares float64           // sum over them of (waste − share·plaster)²
	dealt   map[int][]float64 // sorted shares by number of pours
}

// lost is what of a pour's plaster was wasted, kg.
type lost struct{ waste, plaster float64 }

func newUsualShares(entries []entry) *usualShares {
	u := &usualShares{dealt: map[int][]float64{}}
	for i := range entries {
		e := &entries[i]
		if u.all.add(e); e.known() {
			u.pours = append(u.pours, lost{e.waste, e.PlasterKg})
		}
	}
	share := u.all.share()
	for _, p := range u.pours {
		d := p.waste - share*p.plaster
		u.squares += d * d
	}
	return u
}

// limits are the shares below and above which a group of n pours falls with
// a chance of tail each.
func (u *usualShares) limits(n int, tail float64) (low, high float64) {
	if n > mostDealt {
		return u.normalLimits(n, tail)
	}
	shares, seen := u.dealt[n]
	if !seen {
		shares = u.deal(n)
		u.dealt[n] = shares
	}
	cut := int(tail * deals)
	return shares[cut], shares[deals-1-cut]
}

// deal deals n pours so many times. The deals depend on n and the pours alone.
func (u *usualShares) deal(n int) []float64 {
	rng := newLots(uint64(n), 0x706f757273)
	hand := slices.Clone(u.pours)
	shares := make([]float64, deals)
	for d := range shares {
		var waste, plaster float64
		for i := range n {
			j := i + rng.below(len(hand)-i)
			hand[i], hand[j] = hand[j], hand[i]
			waste += hand[i].waste
			plaster += hand[i].plaster
		}
		shares[d] = waste / plaster
	}
	slices.Sort(shares)
	return shares
}

// normalLimits are those of a ratio of sums over n of N pours,
//
//	R ± z·√(s²/n·(1 − n/N))/mean plaster,   s² = Σ(waste − R·plaster)²/(N − 1)
//
// (Cochran 1977, Sampling Techniques, chapter 6; from memory).
func (u *usualShares) normalLimits(n int, tail float64) (low, high float64) {
	share, total := u.all.share(), float64(len(u.pours))
	sd := math.Sqrt(u.squares/(total-1)/float64(n)*(1-float64(n)/total)) / (u.all.plaster / total)
	reach := distuv.UnitNormal.Quantile(1-tail) * sd
	return max(0, share-reach), min(1, share+reach)
}

// judge sets the limits and the verdict of each group of one grouping.
func (u *usualShares) judge(rows []tables.WasteBy, groups []shareOf) {
	told := 0
	for _, g := range groups {
		if g.pours > 0 {
			told++
		}
	}
	if told < 2 {
		return
	}
	tail := 1.0 / callsInGroupings / 2 / float64(told)
	const rounding = 1e-9
	for g := range rows {
		if groups[g].pours == 0 {
			continue
		}
		row := &rows[g]
		row.UsualLower, row.UsualUpper = u.limits(groups[g].pours, tail)
		switch share := groups[g].share(); {
		case share > row.UsualUpper+rounding:
			row.Verdict = verdictAbove
		case share < row.UsualLower-rounding:
			row.Verdict = verdictBelow
		default:
			row.Verdict = verdictUsual
		}
	}
}
