package mixed

import "math"

// DF are the denominator degrees of freedom of the fixed effects by the
// containment rule (as of SAS PROC MIXED, DDFM=CONTAIN). A column of X that in
// every group is a combination of the group's columns of Z is contained in the
// random effects that it needs; only groups tell about it, and it has as many
// degrees of freedom as groups that show those effects, less the contained
// columns that take part in the same effect (the least over the effects
// needed). Any other column has ResidualDF = n − rank[X Z]. None is below 1.
//
// For example the slope of a line in time with a random line for each of 18
// groups has 17, not the 161 of the rule of nlme (Pinheiro & Bates 2000), which
// counts rows within groups for it.
func (m *Model) DF() []float64 {
	df := make([]float64, m.P)
	contained := m.b.contained
	for j := range df {
		df[j] = m.ResidualDF
	}
	if len(contained) == 0 {
		return df
	}
	triangles, groups := m.coefficients(contained)
	for k := range m.Q {
		part, rank := m.taking(k, triangles[k], contained)
		for i, j := range contained {
			if part[i] {
				df[j] = min(df[j], max(1, float64(groups-rank)))
			}
		}
	}
	return df
}

// coefficients are, for each random effect, the triangle over groups of the
// coefficients c with X_j = Z c of the contained columns j. Groups whose Z has
// not full rank have no such c and are left out; groups counts the others.
func (m *Model) coefficients(columns []int) (triangles [][]float64, groups int) {
	q, p := m.Q, m.P
	n := len(columns)
	for range q {
		triangles = append(triangles, make([]float64, packedLen(n)))
	}
	full := make([]float64, p)
	c := make([]float64, q*n)
	var looked []int // groups by pattern, of which a few tell which columns need an effect
	if m.k.lean != nil {
		looked = make([]int, len(m.k.lean.patterns))
	}
	row := make([]float64, n)
	for at := range m.k.groups {
		a := m.k.a[at*q*q : (at+1)*q*q]
		if rankOf(a, q) < q {
			continue
		}
		groups++
		if looked != nil {
			pattern := m.k.lean.pattern[at]
			if looked[pattern]++; looked[pattern] > enoughOfPattern {
				continue
			}
		}
		effects := m.effects(at)
		for i := range q { // U in the columns of X itself
			u := effects[i*m.k.w : i*m.k.w+p]
			for j := range p {
				full[j] = 0
				for h := range j + 1 {
					full[j] += u[h] * m.b.rx[h*p+j]
				}
			}
			for k, j := range columns {
				c[i*n+k] = full[j]
			}
		}
		solveSquare(a, q, c, n)
		for k := range q {
			clear(row)
			for h := range k + 1 { // T c̃
				for j := range n {
					row[j] += m.b.t[k*q+h] * c[h*n+j]
				}
			}
			absorb(triangles[k], row)
		}
	}
	return triangles, groups
}

// enoughOfPattern is how many groups that know the same columns are looked at:
// what they share shows in any few of them.
const enoughOfPattern = 16

// taking tells which contained columns need effect k, and the rank of their
// coefficients. A coefficient counts if its share of the column is more than
// rounding.
func (m *Model) taking(k int, triangle []float64, columns []int) (part []bool, rank int) {
	n := len(columns)
	norms := columnNorms(square(triangle, n), n)
	size := 0.0 // of column k of Z, in an average group
	for i := k; i < m.Q; i++ {
		size = math.Hypot(size, m.b.tInv[i*m.Q+k])
	}
	part = make([]bool, n)
	reference := make([]float64, n)
	for i, j := range columns {
		part[i] = norms[i]*size > 1e-7*m.b.norms[j]
		reference[i] = norms[i]
		if !part[i] {
			reference[i] = math.Inf(1)
		}
	}
	_, ok := leftover(square(triangle, n), n, reference)
	for _, independent := range ok {
		if independent {
			rank++
		}
	}
	return part, rank
}

// solveSquare solves a x = c for the n columns of c in place, a q×q of full
// rank, by elimination with pivots.
func solveSquare(a []float64, q int, c []float64, n int) {
	var lu square3
	copy(lu[:], a[:q*q])
	for k := range q {
		best := k
		for i := k + 1; i < q; i++ {
			if math.Abs(lu[i*q+k]) > math.Abs(lu[best*q+k]) {
				best = i
			}
		}
		for j := range q {
			lu[k*q+j], lu[best*q+j] = lu[best*q+j], lu[k*q+j]
		}
		for j := range n {
			c[k*n+j], c[best*n+j] = c[best*n+j], c[k*n+j]
		}
		for i := range q {
			if i == k {
				continue
			}
			f := lu[i*q+k] / lu[k*q+k]
			for j := k; j < q; j++ {
				lu[i*q+j] -= f * lu[k*q+j]
			}
			for j := range n {
				c[i*n+j] -= f * c[k*n+j]
			}
		}
	}
	for i := range q {
		for j := range n {
			c[i*n+j] /= lu[i*q+i]
		}
	}
}
