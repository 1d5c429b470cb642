package mixed

import (
	"fmt"
	"math"
)

// lostDigits is the share of a column's information that must remain after
// a group is subtracted; below it the other groups are added up afresh.
const lostDigits = 1e-4

// lostAll is the share below which rounding may be all that remains.
const lostAll = 1e-9

// LeaveOut gives the fixed effects and their covariance from all groups but g,
// with θ and σ as fitted: S(θ) less the group's part. A group without rows
// changes nothing. The error (an AliasedError) names columns that only this
// group tells apart.
func (m *Model) LeaveOut(g int) (beta []float64, cov [][]float64, err error) {
	beta, root, err := m.leaveOut(g)
	if err != nil {
		return nil, nil, err
	}
	if root == nil {
		return beta, m.BetaCov(), nil
	}
	return beta, m.outerUpper(m.inverseOutward(root), m.P), nil
}

// LeaveOutFixed is LeaveOut without the covariance, which takes most of the time
// where there are many columns.
func (m *Model) LeaveOutFixed(g int) (beta []float64, err error) {
	beta, _, err = m.leaveOut(g)
	return beta, err
}

// LeaveOutSome is LeaveOut with the covariance of the fixed effects of some columns
// alone, in their order: p² steps each instead of p³ for all.
func (m *Model) LeaveOutSome(g int, columns []int) (beta []float64, cov [][]float64, err error) {
	beta, root, err := m.leaveOut(g)
	if err != nil {
		return nil, nil, err
	}
	if root == nil {
		root = m.root
	}
	return beta, m.covOf(root, columns), nil
}

// BetaCovOf is BetaCov of some columns, in their order.
func (m *Model) BetaCovOf(columns []int) [][]float64 { return m.covOf(m.root, columns) }

// covOf is σ² AA' for the rows of A = Rx⁻¹·root⁻¹ that belong to the columns.
func (m *Model) covOf(root []float64, columns []int) [][]float64 {
	rows := make([][]float64, len(columns))
	for i, c := range columns {
		rows[i] = make([]float64, m.P)
		rows[i][c] = 1
		solveUpperT(m.b.rx, m.P, rows[i])
		solveUpperT(root, m.k.w, rows[i])
	}
	cov := make([][]float64, len(columns))
	for i := range cov {
		cov[i] = make([]float64, len(columns))
		for j := range cov[i] {
			cov[i][j] = m.Sigma * m.Sigma * dot(rows[i], rows[j])
		}
	}
	return cov
}

// leaveOut also gives the factor of what remains of S; nil where all does.
func (m *Model) leaveOut(g int) (beta, root []float64, err error) {
	at := m.place(g)
	if at < 0 {
		return append([]float64(nil), m.Beta...), nil, nil
	}
	p, w := m.P, m.k.w
	root = append([]float64(nil), m.s...)
	part := make([]float64, w*w)
	m.contribute(at, func(row []float64) { addSquare(part, row) })
	for i := range root {
		root[i] -= part[i]
	}
	inner := make([]float64, p) // sxy, then β̃
	for i := range p {
		inner[i] = root[i*w+p]
	}
	whole := cholesky(root, p, w)
	if bad := m.lost(root, whole); m.k.lean != nil && len(bad) > 0 {
		return nil, nil, fmt.Errorf("without group %d: %w", g, &AliasedError{Part: FixedColumns, Columns: bad})
	}
	if !whole || m.k.lean == nil && m.thin(root) {
		if root, err = m.without(at); err != nil {
			return nil, nil, fmt.Errorf("without group %d: %w", g, err)
		}
		for i := range p {
			inner[i] = root[i*w+p]
		}
	} else {
		solveUpperT(root, w, inner)
	}
	solveUpper(root, w, inner)
	return m.fixedOutward(inner), root, nil
}

// lost are the columns that only the group left out told apart, as far as the
// subtraction shows it: with many groups the others are not added up afresh.
func (m *Model) lost(root []float64, whole bool) (columns []int) {
	w := m.k.w
	for i := range m.P {
		if d := root[i*w+i]; !(d*d > lostAll*m.s[i*w+i]) || !whole && !(d > 0) {
			columns = append(columns, i)
			if !whole {
				break // what comes after a pivot that failed means nothing
			}
		}
	}
	return columns
}

// thin reports whether the factor of what remains lost digits in the
// subtraction.
func (m *Model) thin(root []float64) bool {
	w := m.k.w
	for i := range m.P {
		d := root[i*w+i]
		if d*d < lostDigits*m.s[i*w+i] {
			return true
		}
	}
	return false
}

// contribute hands on the rows [x̃ ỹ] whose squares add up to the part of one
// group in S: L⁻¹U and Q. The rows are reused.
func (m *Model) contribute(at int, add func(row []float64)) {
	q, w := m.Q, m.k.w
	a := m.k.a[at*q*q : (at+1)*q*q]
	var kk, l square3
	for i := range q {
		for j := range q {
			for h := range q {
				kk[i*q+j] += a[i*q+h] * m.lam[h*q+j]
			}
		}
	}
	rootOfOnePlus(&l, &kk, q)
	rows := append([]float64(nil), m.effects(at)...)
	solveLower(&l, q, rows, w)
	for i := range q {
		add(rows[i*w : (i+1)*w])
	}
	row := make([]float64, w)
	if m.k.lean != nil {
		m.k.lean.below(at, q, row, func() {
			m.b.turnInside(row)
			add(row)
		})
		return
	}
	below := m.below[at*packedLen(w) : (at+1)*packedLen(w)]
	for i := range w {
		clear(row)
		copy(row[i:], below[:w-i])
		below = below[w-i:]
		m.b.turnInside(row)
		add(row)
	}
}

// without is the w×w factor of S over all groups but one.
func (m *Model) without(out int) ([]float64, error) {
	w := m.k.w
	tri := make([]float64, packedLen(w))
	for at := range m.k.groups {
		if at != out {
			m.contribute(at, func(row []float64) { absorb(tri, row) })
		}
	}
	root := square(tri, w)
	norms := make([]float64, w)
	for i := range norms {
		norms[i] = math.Sqrt(m.s[i*w+i])
	}
	if _, ok := leftover(root, w, norms); len(missing(ok[:m.P])) > 0 {
		return nil, &AliasedError{Part: FixedColumns, Columns: missing(ok[:m.P])}
	}
	return root, nil
}
