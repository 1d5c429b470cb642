package mixed

import (
	"fmt"
	"math"
)

// A column of which less than aMillionth of its length is left after those
// before it counts as a combination of them, and more below zero than
// belowZero of its square is no rounding.
const (
	aMillionth = 1e-6
	belowZero  = 1e-9
)

// AddCrossProducts takes in rows of a group, each of weight 1, of which only the
// cross-products are known: cross is the symmetric matrix [Z X y]'[Z X y] of
// order q+p+1, row by row. They are sums over rows, so that a database can make
// them with GROUP BY.
//
// The factor that Add makes from rows keeps twice the digits: cross-products
// square the condition of the columns. So centre columns and bring them to
// about the same size, in the query that makes the sums. An error says that the
// numbers are no cross-products; nothing has been taken in then. Wrong lengths,
// a negative group and rows below 1 panic.
func (s *Sums) AddCrossProducts(group, rows int, cross []float64) error {
	m := s.p + s.q + 1
	if len(cross) != m*m || rows < 1 {
		panic(fmt.Sprintf("mixed: cross-products of %d numbers over %d rows for sums of order %d", len(cross), rows, m))
	}
	factor, err := factorOf(cross, m)
	if err != nil {
		return fmt.Errorf("group %d: %w", group, err)
	}
	s.settle()
	s.grow(group)
	for i := range s.twins { // a column that is one of Z's in all rows has its sums exactly
		x := s.q + i
		for k := range s.q {
			if cross[x*m+x] != cross[k*m+k] || cross[x*m+k] != cross[k*m+k] {
				s.twins[i] &^= 1 << k
			}
		}
	}
	into := s.tri[group*s.size : (group+1)*s.size]
	for i := range m {
		absorb(into[s.size-packedLen(m-i):], factor[i*m+i:(i+1)*m])
	}
	s.rows[group] += rows
	s.n, s.seen = s.n+rows, s.seen+rows
	return nil
}

// factorOf is the upper triangular R with R'R = cross, by Cholesky's method
// (Golub & Van Loan, Matrix Computations); rows of columns that are combinations
// of those before them are zero.
func factorOf(cross []float64, m int) ([]float64, error) {
	r := make([]float64, m*m)
	for i := range m {
		for j := i; j < m; j++ {
			if math.IsNaN(cross[i*m+j]) || math.IsInf(cross[i*m+j], 0) || cross[i*m+j] != cross[j*m+i] {
				return nil, fmt.Errorf("numbers %d of row %d of the cross-products are missing, infinite or not the same on both sides", j, i)
			}
			r[i*m+j] = cross[i*m+j]
		}
	}
	for i := range m {
		row, whole := r[i*m:(i+1)*m], cross[i*m+i]
		if row[i] < -belowZero*whole || whole < 0 {
			return nil, fmt.Errorf("column %d is longer in others' direction than it is long: these are no cross-products", i)
		}
		if row[i] <= aMillionth*aMillionth*whole {
			clear(row)
			continue
		}
		pivot := math.Sqrt(row[i])
		for j := i; j < m; j++ {
			row[j] /= pivot
		}
		for k := i + 1; k < m; k++ {
			for j := k; j < m; j++ {
				r[k*m+j] -= row[k] * row[j]
			}
		}
	}
	return r, nil
}
