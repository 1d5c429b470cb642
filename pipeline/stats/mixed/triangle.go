package mixed

import "math"

// aliasTolerance is the share of a column's norm that must remain after the
// columns before it are taken out. Rotations leave about 1e-15 of a dependent
// column; 1e-10 still admits a column that varies by 1e-10 of its size.
const aliasTolerance = 1e-10

// packedLen is the length of a packed upper triangle of order m: row 0 with m
// numbers, row 1 with m−1, and so on.
func packedLen(m int) int { return m * (m + 1) / 2 }

// absorb adds one row to a packed upper triangle R, so that afterwards R'R is
// R'R + row'row, by Givens rotations (Golub & Van Loan, Matrix
// Computations). Row is used up.
//
// A pivot is zero only while its whole row is: then the rest of the new row
// moves in unchanged.
func absorb(tri, row []float64) { absorbFirst(tri, row, len(row)) }

// absorbFirst makes the rotations of the first pivots only, and returns what
// they leave of the row: nil if nothing.
func absorbFirst(tri, row []float64, pivots int) []float64 {
	for m, last := len(row), len(row)-pivots; m > last; m-- {
		v := row[0]
		if v != 0 {
			r := tri[0]
			if r == 0 {
				copy(tri[:m], row)
				return nil
			}
			h := math.Sqrt(r*r + v*v)
			if h < 1e-140 { // squares near underflow
				h = math.Hypot(r, v)
			}
			inv := 1 / h
			c, s := r*inv, v*inv
			tri[0] = h
			t, x := tri[1:m], row[1:m]
			for k, b := range x {
				a := t[k]
				t[k] = c*a + s*b
				x[k] = c*b - s*a
			}
		}
		tri, row = tri[m:], row[1:]
	}
	return row
}

// square unpacks a packed triangle of order m to m×m row-major, zeros below.
func square(tri []float64, m int) []float64 {
	out := make([]float64, m*m)
	at := 0
	for i := range m {
		at += copy(out[i*m+i:(i+1)*m], tri[at:at+m-i])
	}
	return out
}

// columnNorms are the norms of the columns of a row-major m×m matrix.
func columnNorms(a []float64, m int) []float64 {
	norms := make([]float64, m)
	for j := range m {
		for i := range m {
			norms[j] = math.Hypot(norms[j], a[i*m+j])
		}
	}
	return norms
}

// leftover takes from every column of the row-major m×m matrix r the columns
// before it that are independent, and returns the norm of what remains.
// A column is independent if more than aliasTolerance of its reference norm
// remains. Gram-Schmidt twice over: "twice is enough" (Giraud, Langou,
// Rozložník & van den Eshof 2005, Numer. Math. 101).
func leftover(r []float64, m int, reference []float64) (rest []float64, independent []bool) {
	rest, independent = make([]float64, m), make([]bool, m)
	if m >= manyColumns && plain(r, m, reference) {
		for j := range m {
			rest[j], independent[j] = math.Abs(r[j*m+j]), true
		}
		return rest, independent
	}
	var kept [][]float64
	for j := range m {
		v := make([]float64, m)
		for i := range m {
			v[i] = r[i*m+j]
		}
		for range 2 {
			for _, u := range kept {
				d := dot(u, v)
				for i := range v {
					v[i] -= d * u[i]
				}
			}
		}
		rest[j] = norm(v)
		independent[j] = rest[j] > aliasTolerance*reference[j]
		if independent[j] {
			for i := range v {
				v[i] /= rest[j]
			}
			kept = append(kept, v)
		}
	}
	return rest, independent
}

// With manyColumns it pays to see first whether there is anything to look for.
const manyColumns = 32

// plain reports whether r is a triangle whose columns are independent beyond
// doubt: its diagonal then is what remains of them.
func plain(r []float64, m int, reference []float64) bool {
	for i := range m {
		if !(math.Abs(r[i*m+i]) > 1e-4*reference[i]) {
			return false
		}
		for j := range i {
			if r[i*m+j] != 0 {
				return false
			}
		}
	}
	return true
}

// cholesky overwrites the upper triangle of the row-major symmetric n×n matrix
// a (order stride apart) with R, R'R = a. It reports whether all pivots are
// positive.
func cholesky(a []float64, n, stride int) bool {
	for i := range n {
		row := a[i*stride+i : i*stride+n]
		v := row[0]
		if !(v > 0) || math.IsInf(v, 0) {
			return false
		}
		v = math.Sqrt(v)
		row[0] = v
		for j := range row[1:] {
			row[1+j] /= v
		}
		for j, c := range row[1:] { // take row i out of those below; many columns don't overlap
			if c == 0 {
				continue
			}
			into := a[(i+1+j)*stride+i+1+j:]
			for h, x := range row[1+j:] {
				into[h] -= c * x
			}
		}
	}
	return true
}

// solveUpper solves R x = v in place, R upper triangular.
func solveUpper(r []float64, stride int, v []float64) {
	for i := len(v) - 1; i >= 0; i-- {
		x := v[i]
		for j := i + 1; j < len(v); j++ {
			x -= r[i*stride+j] * v[j]
		}
		v[i] = x / r[i*stride+i]
	}
}

// solveUpperT solves R' x = v in place, R upper triangular.
func solveUpperT(r []float64, stride int, v []float64) {
	for i := range v {
		if v[i] == 0 {
			continue
		}
		row := r[i*stride+i : i*stride+len(v)]
		x := v[i] / row[0]
		v[i] = x
		for j, c := range row[1:] {
			v[i+1+j] -= c * x
		}
	}
}

// invertUpper returns the inverse of an upper triangle, row-major n×n.
func invertUpper(r []float64, n, stride int) []float64 {
	inv := make([]float64, n*n)
	invertUpperInto(inv, r, n, stride)
	return inv
}

// invertUpperInto writes that inverse over an n×n matrix that is zero below its
// diagonal: row by row from the last, row i being (e_i − Σ r_ij·row j)/r_ii.
func invertUpperInto(inv, r []float64, n, stride int) {
	for i := n - 1; i >= 0; i-- {
		row := inv[i*n : (i+1)*n]
		clear(row[i:])
		row[i] = 1
		for j := i + 1; j < n; j++ {
			c := r[i*stride+j]
			if c == 0 {
				continue
			}
			for h, v := range inv[j*n+j : (j+1)*n] {
				row[j+h] -= c * v
			}
		}
		d := 1 / r[i*stride+i]
		for h := i; h < n; h++ {
			row[h] *= d
		}
	}
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i, v := range a {
		s += v * b[i]
	}
	return s
}

func norm(a []float64) float64 {
	s := 0.0
	for _, v := range a {
		s = math.Hypot(s, v)
	}
	return s
}
