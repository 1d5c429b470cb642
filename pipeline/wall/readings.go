package wall

import (
	"math"
	"slices"

	"moldwright/pipeline/stats/robust"
	"moldwright/pipeline/tables"
)

// A wall measured at two or three places is known better than one measured
// once. The variance of a cast's log wall is that of the cast itself and that of
// a reading over the number of readings,
//
//	σ²(n) = σ_cast² + σ_reading²/n,
//
// the second from how readings of one cast differ. Weights are σ²(1)/σ²(n).
type readings struct {
	variance float64 // of one log reading; 0 where no cast has several
	usual    int     // readings a cast, as of late
}

const (
	leastRepeated  = 10 // casts with several readings before their scatter is believed
	lastCastsRead  = 20 // casts that tell how many readings are usual now
	farReading     = 6  // standard deviations off the others at which one of three readings is left out
	readingTrim    = 5
	leastCastShare = 0.1 // of σ²(1) that is always left to the cast itself
)

// readingsOf works out the scatter of readings from the first two of each cast
// that has several, gross differences left out.
func readingsOf(walls [][]float64, dates []tables.Date) readings {
	var diffs []float64
	for _, w := range walls {
		if len(w) >= 2 && w[0] > 0 && w[1] > 0 {
			diffs = append(diffs, math.Abs(math.Log(w[0]/w[1]))/math.Sqrt2)
		}
	}
	r := readings{usual: usualReadings(walls, dates)}
	if len(diffs) < leastRepeated {
		return r
	}
	scale := robust.MAD(diffs)
	var sum, n float64
	for _, d := range diffs {
		if scale == 0 || d <= readingTrim*scale {
			sum += d * d
			n++
		}
	}
	r.variance = sum / n
	return r
}

// usualReadings is the median number of readings of the last casts by date.
func usualReadings(walls [][]float64, dates []tables.Date) int {
	order := make([]int, len(walls))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return int(dates[a]) - int(dates[b]) })
	var counts []float64
	for _, i := range order[max(0, len(order)-lastCastsRead):] {
		counts = append(counts, float64(max(1, len(walls[i]))))
	}
	if len(counts) == 0 {
		return 1
	}
	return int(median(counts))
}

// mean is the mean reading in mm and how many readings are in it. One of three
// or more that is far off the others, as after a typing error, is left out.
func (r readings) mean(walls []float64) (mm float64, n int) {
	kept := walls
	if len(walls) >= 3 && r.variance > 0 {
		middle := median(slices.Clone(walls))
		kept = nil
		for _, w := range walls {
			if w > 0 && math.Abs(math.Log(w/middle)) <= farReading*math.Sqrt(r.variance) {
				kept = append(kept, w)
			}
		}
	}
	var sum float64
	for _, w := range kept {
		sum += w
	}
	return sum / float64(len(kept)), len(kept)
}

// shift is what the mean of the readings that count adds to the log of their
// plain mean, how many they are, and whether one was left out. The log's own
// wall is wet already, the readings may be fired.
func (r readings) shift(all []float64) (shift float64, n int, odd bool) {
	if len(all) < 2 {
		return 0, 1, false
	}
	kept, n := r.mean(all)
	plain, _ := readings{}.mean(all)
	return math.Log(kept / plain), n, n < len(all)
}

// weight is σ²(1)/σ²(n) at a unit variance σ²(1).
func (r readings) weight(n int, unit float64) float64 {
	if r.variance == 0 || n <= 1 || unit <= 0 {
		return 1
	}
	cast := max(unit-r.variance, leastCastShare*unit)
	reading := unit - cast
	return unit / (cast + reading/float64(n))
}
