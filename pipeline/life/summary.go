package life

import (
	"math"
	"slices"

	"moldwright/pipeline/tables"
)

// Point is the number of casts that at least a share p, in [0,1], of the draws does
// not exceed. The draws ascend, and there is one at least.
func Point(draws []float64, p float64) float64 {
	return draws[min(len(draws)-1, int(p*float64(len(draws))))]
}

// Summarise puts the points and chances that draws of remaining casts tell into a
// mold's row. The draws ascend.
func Summarise(row tables.RemainingCasts, draws []float64) tables.RemainingCasts {
	survive := func(more float64) float64 {
		first, _ := slices.BinarySearch(draws, more)
		return float64(len(draws)-first) / float64(len(draws))
	}
	row.RemainingP10, row.RemainingP50, row.RemainingP90 = Point(draws, 0.1), Point(draws, 0.5), Point(draws, 0.9)
	row.Survive5, row.Survive10, row.Survive20 = survive(5), survive(10), survive(20)
	return row
}

// Stretched are draws of remaining casts on a normal scale stretched by a factor
// about their middle: the point of chance p goes to where that of chance
// Φ(factor·Φ⁻¹(p)) was. They ascend and are whole casts, one at least, as before;
// beyond the former draws they fall off exponentially.
func Stretched(draws []float64, factor float64) []float64 {
	n := float64(len(draws))
	out := make([]float64, len(draws))
	for i := range out {
		out[i] = max(1, math.Round(between(draws, widened((float64(i)+0.5)/n, factor))))
	}
	return out
}

// tailShare is the share of draws whose mean excess tells how they go on.
const tailShare = 0.01

// between is the point of chance p of ascending draws, straight between the middles
// of their shares of the chance.
func between(draws []float64, p float64) float64 {
	n := len(draws)
	if last := 0.5 / float64(n); 1-p < last {
		top := n - max(1, int(tailShare*float64(n)))
		excess := 0.0
		for _, d := range draws[top:] {
			excess += (d - draws[top]) / float64(n-top)
		}
		return draws[n-1] + excess*math.Log(last/max(1-p, 1e-12))
	}
	at := p*float64(n) - 0.5
	i := int(math.Floor(at + 1e-9))
	switch {
	case i < 0:
		return draws[0]
	case i >= n-1:
		return draws[n-1]
	}
	return draws[i] + (draws[i+1]-draws[i])*(at-float64(i))
}

// widened is the chance p on a normal scale stretched by a factor about the middle.
func widened(p, factor float64) float64 {
	return 0.5 * math.Erfc(factor*math.Erfcinv(2*p))
}
