package plaster

import (
	"math"

	"moldwright/pipeline/stats/pool"
	"moldwright/pipeline/tables"
)

const (
	// Groups of pours differ in their share of waste by about so much, before the
	// pours tell: common practice, no source.
	sharesApart = 0.1
	// The share of a single pour scatters by at least so much.
	leastScatter = 0.01
	// Fewer pours than this beyond one a group do not tell how pours scatter
	// within groups; how all pours scatter is taken then, which is no less.
	fewestBeyond = 5
)

// shareOf is the waste of pours as a part of their plaster, of those whose waste is known.
type shareOf struct {
	waste, plaster float64
	squares        float64 // sum of squared plaster
	pours          int
}

func (s *shareOf) add(e *entry) {
	if e.known() {
		s.waste += e.waste
		s.plaster += e.PlasterKg
		s.squares += e.PlasterKg * e.PlasterKg
		s.pours++
	}
}

func (s shareOf) share() float64 { return s.waste / s.plaster }

// shrunk sets the columns of one grouping that lean on all its groups.
//
// The share of a group R_g = Σ waste/Σ plaster has the variance of a ratio of
// sums (Cochran 1977, Sampling Techniques, chapter 6; from memory),
//
//	Var[R_g] = s²·Σ plaster²/(Σ plaster)²
//
// with s² the variance of a pour's share, weighted by plaster² and taken within
// groups. So two pours that failed are not called the worst class: their share
// leans on that of all.
func (b book) shrunk(rows []tables.WasteBy, members [][]int32) {
	groups, all := b.sharesOf(members)
	if all.pours == 0 {
		return
	}
	s2 := b.scatter(members, groups, all)
	var shares, variances []float64
	var at []int
	for g, one := range groups {
		if one.pours > 0 {
			shares, variances, at = append(shares, one.share()), append(variances, s2*one.squares/(one.plaster*one.plaster)), append(at, g)
		}
	}
	for i, e := range pool.Means(shares, variances, sharesApart, 0.8) {
		row := &rows[at[i]]
		row.ShrunkShare, row.Lower80, row.Upper80 = within1(e.Mean), within1(e.Lower), within1(e.Upper)
	}
}

// sharesOf are the shares of groups of pours, given by their places, and of them together.
func (b book) sharesOf(members [][]int32) (groups []shareOf, all shareOf) {
	groups = make([]shareOf, len(members))
	for g, places := range members {
		for _, i := range places {
			groups[g].add(&b.entries[i])
			all.add(&b.entries[i])
		}
	}
	return groups, all
}

// scatter is the variance of the share of one pour.
func (b book) scatter(members [][]int32, groups []shareOf, all shareOf) float64 {
	lost := 0 // degrees of freedom
	for _, g := range groups {
		if g.pours > 0 {
			lost++
		}
	}
	common := all.pours-lost < fewestBeyond
	if common {
		lost = 1
	}
	if all.pours <= lost {
		return sharesApart * sharesApart
	}
	var sum float64
	for g, places := range members {
		mean := groups[g]
		if common {
			mean = all
		}
		for _, i := range places {
			if e := &b.entries[i]; e.known() {
				d := e.waste - mean.share()*e.PlasterKg
				sum += d * d
			}
		}
	}
	n := float64(all.pours)
	return max(sum/all.squares*n/(n-float64(lost)), leastScatter*leastScatter)
}

func within1(share float64) float64 { return math.Min(math.Max(share, 0), 1) }
