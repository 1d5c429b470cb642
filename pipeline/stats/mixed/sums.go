package mixed

import (
	"fmt"
	"math"
	"slices"
)

// MaxRandom is the largest number of random effects a group can have.
const MaxRandom = 3

// tooLarge bounds √w times a number of a row, so that squares stay finite.
const tooLarge = 1e140

// Sums collects what a fit needs from rows seen once: for each group the
// triangular factor of its weighted cross-products of [Z X y], and over all
// rows their number and the sum of log w.
//
// A group costs (p+q+1)(p+q+2)/2 numbers, whatever its rows. The order of rows
// matters to rounding only. A row of weight 2 gives the cross-products of two
// equal rows of weight 1, but it is one row: n, the residual degrees of freedom
// and Σ log w differ, and with them σ, θ and the criterion.
//
// A Sums is not safe for use by several goroutines; give each its own and
// Merge them.
type Sums struct {
	p, q  int
	size  int       // of a packed triangle of order q+p+1
	tri   []float64 // size numbers a group, without the rows that wait
	rows  []int     // of each group, those with weight 0 and those that wait apart
	n     int       // sum of rows
	seen  int       // calls of Add
	logW  float64   // Σ log w
	wrong *RowError // the first row that cannot be used

	waiting []float64 // rows not yet absorbed, √w·[z x y] each
	owners  []int     // their groups
	twins   []uint8   // of each column of X: bit k is set while Z's column k equals it in all rows
	touched float64   // see settle
}

// NewSums returns empty sums for p ≥ 0 fixed and q = 0..MaxRandom random
// effects; other shapes panic.
func NewSums(p, q int) *Sums {
	if p < 0 || q < 0 || q > MaxRandom {
		panic(fmt.Sprintf("mixed: %d fixed and %d random effects; the package is for p ≥ 0 and q = 0..%d", p, q, MaxRandom))
	}
	m := p + q + 1
	s := &Sums{p: p, q: q, size: packedLen(m), waiting: make([]float64, batch*m), owners: make([]int, 0, batch), twins: make([]uint8, p)}
	s.Reset()
	return s
}

// Add takes in one row of group 0, 1, …: x has p numbers, z has q, and w > 0 is
// the row's weight (variance σ²/w). A row of weight 0 is passed over and not
// counted. A number that is not finite, a product √w·number past 1e140 or a
// negative weight is kept as a RowError that Fit returns. Wrong lengths and a
// negative group panic. Nothing is allocated for a group that exists.
func (s *Sums) Add(group int, x, z []float64, y, w float64) {
	if len(x) != s.p || len(z) != s.q {
		panic(fmt.Sprintf("mixed: a row of %d and %d columns for sums of %d and %d", len(x), len(z), s.p, s.q))
	}
	s.grow(group)
	s.seen++
	if w == 0 {
		return
	}
	if !(w > 0) || math.IsInf(w, 0) {
		s.reject(group, "its weight is negative or not a number")
		return
	}
	root := 1.0
	if w != 1 {
		root = math.Sqrt(w)
	}
	at, m := len(s.owners), s.p+s.q+1
	row := s.waiting[at*m : at*m+m]
	ok := true
	for i, v := range z {
		row[i] = root * v
		ok = ok && math.Abs(row[i]) < tooLarge // false for NaN too
	}
	rest := row[s.q:]
	for i, v := range x {
		rest[i] = root * v
		ok = ok && math.Abs(rest[i]) < tooLarge
	}
	rest[s.p] = root * y
	if !ok || !(math.Abs(rest[s.p]) < tooLarge) {
		s.reject(group, "it holds a number that is missing, infinite or too large")
		return
	}
	s.compare(x, z)
	s.owners = append(s.owners, group)
	if len(s.owners) == batch || len(s.tri) <= cached {
		s.settle()
	}
	s.n++
	if w != 1 {
		s.logW += math.Log(w)
	}
}

// AddPrior takes in what is believed of the fixed effects beforehand: that x'β
// is y with standard deviation σ, the residual one. It is a row of weight 1 that
// belongs to a group of its own, has no random effects, and is not counted: n
// and the degrees of freedom are those of the data. The criterion then is that
// of the posterior, up to a constant that models with the same priors share.
func (s *Sums) AddPrior(group int, x []float64, y float64) {
	n, logW := s.n, s.logW
	s.Add(group, x, make([]float64, s.q), y, 1)
	s.n, s.logW = n, logW
}

// Merge adds the rows of other, of the same shape, to s; other keeps its rows.
func (s *Sums) Merge(other *Sums) {
	if s.p != other.p || s.q != other.q {
		panic(fmt.Sprintf("mixed: merging sums of %d and %d columns with sums of %d and %d", s.p, s.q, other.p, other.q))
	}
	s.settle()
	other.settle()
	tri := other.tri
	if s == other {
		tri = slices.Clone(tri)
	}
	if groups := len(other.rows); groups > 0 {
		s.grow(groups - 1)
	}
	for i, bits := range other.twins {
		s.twins[i] &= bits
	}
	m := s.p + s.q + 1
	scratch := make([]float64, m)
	for g, rows := range slices.Clone(other.rows) {
		if rows == 0 {
			continue
		}
		from, into := tri[g*s.size:(g+1)*s.size], s.tri[g*s.size:(g+1)*s.size]
		for i := range m {
			row := scratch[i:]
			copy(row, from[:m-i])
			from = from[m-i:]
			absorb(into[s.size-packedLen(m-i):], row)
		}
		s.rows[g] += rows
	}
	if s.wrong == nil && other.wrong != nil {
		late := *other.wrong
		late.Row += s.seen
		s.wrong = &late
	}
	s.n, s.seen, s.logW = s.n+other.n, s.seen+other.seen, s.logW+other.logW
}

// Reset empties s and keeps its memory.
func (s *Sums) Reset() {
	clear(s.tri)
	clear(s.rows)
	s.tri, s.rows = s.tri[:0], s.rows[:0]
	s.owners = s.owners[:0]
	for i := range s.twins {
		s.twins[i] = 1<<s.q - 1
	}
	s.n, s.seen, s.logW, s.wrong = 0, 0, 0, nil
}

// N is the number of rows, those of weight 0 apart.
func (s *Sums) N() int { return s.n }

// Rows is the number of rows of group g, those of weight 0 apart.
func (s *Sums) Rows(g int) int {
	s.settle()
	if g < 0 || g >= len(s.rows) {
		return 0
	}
	return s.rows[g]
}

func (s *Sums) reject(group int, what string) {
	if s.wrong == nil {
		s.wrong = &RowError{Row: s.seen - 1, Group: group, What: what}
	}
}

// grow makes room for groups 0..group.
func (s *Sums) grow(group int) {
	if group < 0 {
		panic(fmt.Sprintf("mixed: group %d is negative", group))
	}
	for len(s.rows) <= group {
		s.rows = append(s.rows, 0)
	}
	if need := len(s.rows) * s.size; len(s.tri) < need {
		s.tri = slices.Grow(s.tri, need-len(s.tri))[:need]
	}
}
