package mixed

import (
	"fmt"
	"math"
)

// exactFit is the share of the norm of y below which a residual counts as none.
const exactFit = 1e-13

// basis is the change of coordinates in which a fit is computed:
//
//	X̃ = X Rx⁻¹        orthonormal over all rows (weighted)
//	Z̃ = Z T           the average group has Z̃'WZ̃ = I; T lower triangular,
//	                  so that Λ = T Λ̃ is lower triangular with Λ̃
//	ỹ = (y − X ols)/scale
type basis struct {
	p, q  int
	rx    []float64 // p×p upper triangle
	ols   []float64 // least squares, random effects ignored
	scale float64   // residual standard deviation of ols
	t     []float64 // q×q lower triangle
	tInv  []float64 // q×q, its inverse
	logRx float64   // log|Rx'Rx|

	inside []float64 // (p+1)×(p+1) triangle of [X y] once each group's Z is taken out
	spare  float64   // rank of X once each group's Z is taken out
	norms  []float64 // norms of the columns of [X y]

	contained   []int // columns of X that are combinations of Z in every group
	exact       bool  // X reproduces y
	exactInside bool  // X and each group's Z together do
}

// newBasis looks at the columns of all groups together, and says which are
// aliased.
func newBasis(s *Sums) (*basis, error) {
	b := &basis{p: s.p, q: s.q}
	inside, rest := b.pool(s)
	effects, groups := b.poolRandom(s)
	return b, b.set(inside, rest, s.n, effects, groups)
}

// set fills the basis in from the triangles of all groups together: inside and
// rest as of pool, effects as of poolRandom.
func (b *basis) set(inside, rest []float64, n int, effects []float64, groups int) error {
	w := b.p + 1
	norms := columnNorms(rest, w)
	left, ok := leftover(rest, w, norms)
	if bad := missing(ok[:b.p]); len(bad) > 0 {
		return &AliasedError{Part: FixedColumns, Columns: bad}
	}
	b.norms = norms
	b.inside = inside
	b.clearContained()
	within, ok := leftover(inside, w, norms)
	for _, independent := range ok[:b.p] {
		if independent {
			b.spare++
		}
	}
	b.exact = left[b.p] <= exactFit*norms[b.p]
	b.exactInside = within[b.p] <= exactFit*norms[b.p]
	b.setFixed(rest, left[b.p], n)
	return b.setRandom(effects, groups)
}

// clearContained sets to 0 what rounding left inside of columns of X that each
// group's Z explains. Where groups differ far more than rows do, their weight
// is so small that rounding times the scatter of rows would show.
func (b *basis) clearContained() {
	w := b.p + 1
	for j, size := range columnNorms(b.inside, w)[:b.p] {
		if size > 1e-12*b.norms[j] {
			continue
		}
		b.contained = append(b.contained, j)
		for i := range w {
			b.inside[i*w+j] = 0
		}
	}
}

// turnInside is turn for a row of which Z explains the contained columns.
func (b *basis) turnInside(row []float64) {
	for _, j := range b.contained {
		row[j] = 0
	}
	b.turn(row)
}

// scatter reports data that leave no residual.
func (b *basis) scatter(n int) error {
	switch {
	case b.exact:
		return fmt.Errorf("%w (%d rows)", ErrExactFit, n)
	case b.exactInside:
		return fmt.Errorf("%w once each group has its own effects (%d rows)", ErrExactFit, n)
	}
	return nil
}

// missing lists the positions of the false values.
func missing(ok []bool) (at []int) {
	for i, v := range ok {
		if !v {
			at = append(at, i)
		}
	}
	return at
}

// pool gathers the triangles of all groups: inside over the rows that Z does
// not explain, all over all rows; both over the columns [X y].
func (b *basis) pool(s *Sums) (inside, all []float64) {
	q, w := b.q, b.p+1
	m := q + w
	tri := make([]float64, packedLen(w))
	row := make([]float64, w)
	each(s, func(_ int, from []float64) {
		from = from[s.size-packedLen(w):]
		for i := range w {
			copy(row[i:], from[:w-i])
			from = from[w-i:]
			absorb(tri[len(tri)-packedLen(w-i):], row[i:])
		}
	})
	inside = square(tri, w)
	each(s, func(_ int, from []float64) {
		for i := range q {
			copy(row, from[q-i:m-i])
			from = from[m-i:]
			absorb(tri, row)
		}
	})
	return inside, square(tri, w)
}

// each visits the groups with rows, in order, with their packed triangles.
func each(s *Sums, visit func(group int, tri []float64)) {
	s.settle()
	for g, rows := range s.rows {
		if rows > 0 {
			visit(g, s.tri[g*s.size:(g+1)*s.size])
		}
	}
}

func (b *basis) setFixed(all []float64, residual float64, n int) {
	w := b.p + 1
	b.rx = make([]float64, b.p*b.p)
	b.ols = make([]float64, b.p)
	for i := range b.p {
		copy(b.rx[i*b.p:(i+1)*b.p], all[i*w:i*w+b.p])
		b.ols[i] = all[i*w+b.p]
		b.logRx += 2 * math.Log(math.Abs(all[i*w+i]))
	}
	solveUpper(b.rx, b.p, b.ols)
	b.scale = residual / math.Sqrt(float64(n-b.p))
}

// poolRandom is the triangle of all groups' Z with its columns in reverse order,
// and the number of groups.
func (b *basis) poolRandom(s *Sums) (tri []float64, groups int) {
	q := b.q
	tri = make([]float64, packedLen(q))
	row := make([]float64, q)
	each(s, func(_ int, from []float64) {
		groups++
		for i := range q {
			clear(row)
			for j := i; j < q; j++ {
				row[q-1-j] = from[j-i]
			}
			from = from[q+s.p+1-i:]
			absorb(tri, row)
		}
	})
	return tri, groups
}

// setRandom finds T from that triangle: if Z J = Q R with J the reversal,
// Z (J R⁻¹ J) = Q J.
func (b *basis) setRandom(tri []float64, groups int) error {
	q := b.q
	r := square(tri, q)
	forward := make([]float64, q*q) // R J: the columns in their own order
	for i := range q {
		for j := range q {
			forward[i*q+j] = r[i*q+q-1-j]
		}
	}
	if _, ok := leftover(forward, q, columnNorms(forward, q)); len(missing(ok)) > 0 {
		return &AliasedError{Part: RandomColumns, Columns: missing(ok)}
	}
	inv := invertUpper(r, q, q)
	root := math.Sqrt(float64(groups))
	b.t, b.tInv = make([]float64, q*q), make([]float64, q*q)
	for i := range q {
		for j := range q {
			b.t[i*q+j] = root * inv[(q-1-i)*q+q-1-j]
			b.tInv[i*q+j] = r[(q-1-i)*q+q-1-j] / root
		}
	}
	return nil
}

// turn takes a row [x y] to [x̃ ỹ] in place.
func (b *basis) turn(row []float64) {
	x := row[:b.p]
	row[b.p] = (row[b.p] - dot(x, b.ols)) / b.scale
	solveUpperT(b.rx, b.p, x)
}

// outward takes a covariance or a set of columns of b̃ (q×q, first index turned)
// to that of b: T a.
func (b *basis) outward(a *square3) (out square3) {
	for i := range b.q {
		for j := range b.q {
			for k := range i + 1 {
				out[i*b.q+j] += b.t[i*b.q+k] * a[k*b.q+j]
			}
		}
	}
	return out
}

// inward is the inverse of outward.
func (b *basis) inward(a *square3) (out square3) {
	for i := range b.q {
		for j := range b.q {
			for k := range i + 1 {
				out[i*b.q+j] += b.tInv[i*b.q+k] * a[k*b.q+j]
			}
		}
	}
	return out
}
