package watch

import (
	"maps"
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

type batchSums map[string]batchSum

func (b batchSums) names() []string { return slices.Sorted(maps.Keys(b)) }

func (b batchSums) add(slip string, z float64) {
	s := b[slip]
	b[slip] = batchSum{s.sum + z, s.count + 1}
}

// slipShifts is what molds show of the batches.
type slipShifts struct {
	all      batchSums
	own      []batchSums // by mold
	variance float64     // between batches, in variances of one cast
}

// hear takes in the casts of a mold.
func (s slipShifts) hear(m int, casts []wall.TrackCast) {
	s.own[m] = batchSums{}
	for _, c := range casts {
		if c.Slip == "" {
			continue
		}
		z := clipped(c.Residual / math.Sqrt(c.Variance))
		name := history.Fold(c.Slip)
		s.all.add(name, z)
		s.own[m].add(name, z)
	}
}

// between is the variance between batches by products of residuals of different
// molds with one batch: what a mold shows alone is not the slip's.
func (s slipShifts) between() float64 {
	shown := map[string][]batchSum{} // by batch, in the order of molds
	for _, own := range s.own {
		for name, o := range own {
			shown[name] = append(shown[name], o)
		}
	}
	var products, pairs float64
	for _, name := range s.all.names() {
		b := s.all[name]
		products += b.sum * b.sum
		pairs += b.count * b.count
		for _, o := range shown[name] {
			products -= o.sum * o.sum
			pairs -= o.count * o.count
		}
	}
	if pairs <= 0 {
		return 0
	}
	return math.Max(0, products/pairs)
}

// of is the shift of a batch as the molds other than m show it, and the variance
// that stays, both in standard deviations of one cast.
func (s slipShifts) of(slip string, m int) (shift, variance float64) {
	if slip == "" || s.variance == 0 {
		return 0, 0
	}
	name := history.Fold(slip)
	all, own := s.all[name], s.own[m][name]
	n := all.count - own.count
	weight := s.variance / (n*s.variance + 1)
	return (all.sum - own.sum) * weight, weight
}
