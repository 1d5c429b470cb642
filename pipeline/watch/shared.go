package watch

import (
	"cmp"
	"math"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/wall"
)

// A shift that all molds share while a batch of slip is in use is the slip's,
// not a mold's. Batches differ by a standard deviation that the casts tell, and
// from each cast of a mold the shift is taken that the other molds show with its
// batch, drawn to zero as far as they are few:
//
//	shift = mean of the others · n·σ_b² / (n·σ_b² + σ²)
//
// (the usual best linear prediction). What stays unknown of it widens the error.

// batchSum is the residuals of log wall with a batch, standardised and bounded.
type batchSum struct {
	sum   float64
	count float64
}

func (b *batchSum) add(z float64) { b.sum, b.count = b.sum+z, b.count+1 }

// batchOf is what one mold shows of the batch of that number.
type batchOf struct {
	batch int32
	batchSum
}

// slipShifts is what molds show of the batches, which have numbers in the order in
// which they are met.
type slipShifts struct {
	numbers  map[string]int32 // by name as written, and folded
	names    []string         // folded
	all      []batchSum
	own      [][]batchOf // by mold
	variance float64     // between batches, in variances of one cast
}

func newSlipShifts(molds int) *slipShifts {
	return &slipShifts{numbers: map[string]int32{}, own: make([][]batchOf, molds)}
}

// number is that of a batch, a new one where it was not met before.
func (s *slipShifts) number(slip string) int32 {
	n, met := s.numbers[slip]
	if met {
		return n
	}
	name := history.Fold(slip)
	if n, met = s.numbers[name]; !met {
		n = int32(len(s.names))
		s.names, s.all, s.numbers[name] = append(s.names, name), append(s.all, batchSum{}), n
	}
	s.numbers[slip] = n
	return n
}

// hear takes in the casts of a mold.
func (s *slipShifts) hear(m int, casts []wall.TrackCast) {
	var own []batchOf
	for _, c := range casts {
		if c.Slip == "" {
			continue
		}
		z := clipped(c.Residual / math.Sqrt(c.Variance))
		n := s.number(c.Slip)
		s.all[n].add(z)
		at := len(own) - 1 // mostly the batch of the cast before
		for at >= 0 && own[at].batch != n {
			at--
		}
		if at < 0 {
			own, at = append(own, batchOf{batch: n}), len(own)
		}
		own[at].add(z)
	}
	s.own[m] = slices.Clip(own)
}

// between is the variance between batches by products of residuals of different
// molds with one batch: what a mold shows alone is not the slip's.
func (s *slipShifts) between() float64 {
	shown := make([][]batchSum, len(s.all)) // by batch, in the order of molds
	for _, own := range s.own {
		for _, o := range own {
			shown[o.batch] = append(shown[o.batch], o.batchSum)
		}
	}
	order := make([]int, len(s.names)) // of names, so that sums are in one order
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(s.names[a], s.names[b]) })
	var products, pairs float64
	for _, n := range order {
		b := s.all[n]
		products += b.sum * b.sum
		pairs += b.count * b.count
		for _, o := range shown[n] {
			products -= o.sum * o.sum
			pairs -= o.count * o.count
		}
	}
	if pairs <= 0 {
		return 0
	}
	return math.Max(0, products/pairs)
}

// others is what the molds other than m show of a batch.
func (s *slipShifts) others(slip string, m int) batchSum {
	n, met := s.numbers[slip]
	if !met {
		if n, met = s.numbers[history.Fold(slip)]; !met {
			return batchSum{}
		}
	}
	all := s.all[n]
	for _, own := range s.own[m] {
		if own.batch == n {
			return batchSum{all.sum - own.sum, all.count - own.count}
		}
	}
	return all
}

// of is the shift of a batch as the molds other than m show it, and the variance
// that stays, both in standard deviations of one cast.
func (s *slipShifts) of(slip string, m int) (shift, variance float64) {
	if slip == "" || s.variance == 0 {
		return 0, 0
	}
	others := s.others(slip, m)
	weight := s.variance / (others.count*s.variance + 1)
	return others.sum * weight, weight
}
