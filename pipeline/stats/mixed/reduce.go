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
	dots  []float64
}

// heldRows is how many rows wait at least before they are reduced.
const heldRows = 96

// Reset empties it for rows of a width.
func (r *Reducer) Reset(width int) {
	r.width, r.rows = width, 0
	if need := (width + heldRows) * width; len(r.a) < need {
		r.a = make([]float64, need)
	}
	if len(r.dots) < width {
		r.dots = make([]float64, width)
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

// reduce leaves no more rows than columns.
func (r *Reducer) reduce() {
	n := r.width
	for k := 0; k < n && k+1 < r.rows; k++ {
		sum := 0.0
		for i := k + 1; i < r.rows; i++ {
			v := r.a[i*n+k]
			sum += v * v
		}
		if sum == 0 {
			continue
		}
		head := r.a[k*n+k]
		size := math.Sqrt(head*head + sum)
		if head > 0 {
			size = -size
		}
		r.reflect(k, head-size, sum)
		r.a[k*n+k] = size
		for i := k + 1; i < r.rows; i++ {
			r.a[i*n+k] = 0
		}
	}
	r.rows = min(r.rows, n)
}

// reflect applies I − 2vv'/v'v to the columns after k, v being head at row k and
// column k below, whose squares add up to sum.
func (r *Reducer) reflect(k int, head, sum float64) {
	n := r.width
	dots := r.dots[:n-k-1]
	top := r.a[k*n+k+1 : (k+1)*n]
	for j, x := range top {
		dots[j] = head * x
	}
	for i := k + 1; i < r.rows; i++ {
		row := r.a[i*n+k : (i+1)*n]
		if v := row[0]; v != 0 {
			for j, x := range row[1:] {
				dots[j] += v * x
			}
		}
	}
	scale := 2 / (head*head + sum)
	for j := range dots {
		dots[j] *= scale
		top[j] -= head * dots[j]
	}
	for i := k + 1; i < r.rows; i++ {
		row := r.a[i*n+k : (i+1)*n]
		if v := row[0]; v != 0 {
			rest := row[1:]
			for j, d := range dots {
				rest[j] -= v * d
			}
		}
	}
}
