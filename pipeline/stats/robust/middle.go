package robust

import (
	"math"
	"slices"
)

// fewToSort is how many values are sorted rather than parted again.
const fewToSort = 32

// Middle is the median of the values, which it puts into another order; NaN for
// none. It takes a few steps a value, where sorting takes a dozen.
func Middle(values []float64) float64 {
	n := len(values)
	if n == 0 {
		return math.NaN()
	}
	upper := nth(values, n/2)
	if n%2 == 1 {
		return upper
	}
	return (slices.Max(values[:n/2]) + upper) / 2
}

// nth puts the values so that what stands at k is what sorting puts there, with
// none greater before it and none smaller behind (Hoare 1961, Commun. ACM 4, from memory).
func nth(values []float64, k int) float64 {
	parts := 0
	for low, high := 0, len(values); ; parts++ {
		part := values[low:high]
		// Each parting leaves about half; where many leave more, sorting is surer.
		if len(part) <= fewToSort || parts > 64 {
			slices.Sort(part)
			return values[k]
		}
		a, b, c := part[0], part[len(part)/2], part[len(part)-1]
		pivot := max(min(a, b), min(max(a, b), c))
		i, j := low, high-1
		for i <= j {
			for values[i] < pivot {
				i++
			}
			for values[j] > pivot {
				j--
			}
			if i <= j {
				values[i], values[j] = values[j], values[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case k <= j:
			high = j + 1
		case k >= i:
			low = i
		default:
			return values[k]
		}
	}
}
