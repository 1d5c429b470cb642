package mixed

import "math"

// Reducer turns rows of one width into their triangle R, R'R = Σ row'row, by
// Householder reflections of many rows at once (Golub & Van Loan, Matrix
// Computations): the same as rotating in one row after the other, several times
// as fast where rows come together.
//
// A Reducer is scratch for one goroutine.
type Reducer struct {
	width int
	rows  int
	a     []float64

	columns []float64 // the same by columns, while they are reduced
}

// heldRows is how many rows wait at least before they are reduced.
const heldRows = 96

// Reset empties it for rows of a width.
func (r *Reducer) Reset(width int) {
	r.width, r.rows = width, 0
	if need := (width + heldRows) * width; len(r.a) < need {
		r.a = make([]float64, need)
	}
}

// Row is a row to be filled in, all of it.
func (r *Reducer) Row() []float64 {
	if r.rows == r.width+heldRows {
		r.reduce()
	}
	r.rows++
	return r.a[(r.rows-1)*r.width : r.rows*r.width]
}

// Triangle appends the packed upper triangle of the rows so far.
func (r *Reducer) Triangle(into []float64) []float64 {
	r.reduce()
	for i := range r.width {
		if i < r.rows {
			into = append(into, r.a[i*r.width+i:(i+1)*r.width]...)
			continue
		}
		for range r.width - i {
			into = append(into, 0)
		}
	}
	return into
}

// reduce leaves no more rows than columns. It works on columns, which lie together
// then: loops over them are long and over rows short.
func (r *Reducer) reduce() {
	n, m := r.width, r.rows
	if len(r.columns) < n*m {
		r.columns = make([]float64, (n+heldRows)*n)
	}
	for i := range m {
		for j, x := range r.a[i*n : (i+1)*n] {
			r.columns[j*m+i] = x
		}
	}
	for k := 0; k < n && k+1 < m; k++ {
		own := r.columns[k*m+k : (k+1)*m]
		sum := 0.0
		for _, v := range own[1:] {
			sum += v * v
		}
		if sum == 0 {
			continue
		}
		head := own[0]
		size := math.Sqrt(head*head + sum)
		if head > 0 {
			size = -size
		}
		own[0] = head - size
		r.reflect(k, m, sum)
		own[0] = size
		clear(own[1:])
	}
	r.rows = min(m, n)
	for i := range r.rows {
		for j := range n {
			r.a[i*n+j] = r.columns[j*m+i]
		}
	}
}

// reflect applies I − 2vv'/v'v to the columns after k, v being what stands in column
// k from row k of m on, where the squares after the first add up to sum.
func (r *Reducer) reflect(k, m int, sum float64) {
	v := r.columns[k*m+k : (k+1)*m]
	scale := 2 / (v[0]*v[0] + sum)
	column := func(j int) []float64 { return r.columns[j*m+k:][:len(v)] }
	j := k + 1
	for ; j+4 <= r.width; j += 4 { // four sums at a time: each waits for its last term
		a, b, c, d := column(j), column(j+1), column(j+2), column(j+3)
		var sa, sb, sc, sd float64
		for i, x := range v {
			sa, sb, sc, sd = sa+x*a[i], sb+x*b[i], sc+x*c[i], sd+x*d[i]
		}
		sa, sb, sc, sd = sa*scale, sb*scale, sc*scale, sd*scale
		for i, x := range v {
			a[i], b[i], c[i], d[i] = a[i]-x*sa, b[i]-x*sb, c[i]-x*sc, d[i]-x*sd
		}
	}
	for ; j < r.width; j++ {
		a, s := column(j), 0.0
		for i, x := range v {
			s += x * a[i]
		}
		s *= scale
		for i, x := range v {
			a[i] -= x * s
		}
	}
}
