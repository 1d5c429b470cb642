package hindcast

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// pinball is the loss of a quantile forecast q at chance p when y comes
// (Koenker & Bassett 1978): p·(y−q) above it, (1−p)·(q−y) below.
func pinball(p, q, y float64) float64 { return math.Max(p*(y-q), (p-1)*(y-q)) }

// threePoints is the mean loss of the 10, 50 and 90 % points.
func threePoints(p10, p50, p90, y float64) float64 {
	return (pinball(0.1, p10, y) + pinball(0.5, p50, y) + pinball(0.9, p90, y)) / 3
}

// conformal is the split-conformal quantile of n scores at a level: the
// ⌈(n+1)·level⌉-th smallest, the largest where there is none so high. An interval
// that reaches as far holds a new case with at least that chance, if it is like
// the old ones (Vovk, Gammerman & Shafer 2005; Lei et al. 2018, J. Am. Stat.
// Assoc. 113; both from memory).
func conformal(scores []float64, level float64) float64 {
	s := slices.Sorted(slices.Values(scores))
	k := int(math.Ceil(float64(len(s)+1)*level - 1e-9))
	return s[min(max(k, 1), len(s))-1]
}

// conformalPlaces is the same for places of which some are censored: the least
// stretch of the normal scale at which the product limit holds the share
// ⌈(n+1)·level⌉/n. n counts the ends that were seen.
func conformalPlaces(places []place, level float64) float64 {
	l := limitOf(places)
	var stretch []float64
	z := distuv.UnitNormal.Quantile(0.5 + level/2)
	for _, p := range places {
		if p.ended {
			stretch = append(stretch, math.Abs(distuv.UnitNormal.Quantile(min(max(p.u, 1e-9), 1-1e-9)))/z)
		}
	}
	slices.Sort(stretch)
	n := float64(len(stretch))
	want := min(1, math.Ceil((n+1)*level-1e-9)/n)
	for _, f := range stretch {
		high := distuv.UnitNormal.CDF(f * z)
		if l.at(high+1e-9)-l.at(1-high-1e-9) >= want-1e-9 {
			return f
		}
	}
	return stretch[len(stretch)-1]
}

// spread is the standard error of a share: the binomial one, or that by leaving
// out one mold after the other where it is larger, since forecasts of one mold
// fare alike.
func spread(share float64, n int, molds []string, without func(mold string) float64) float64 {
	if n == 0 {
		return math.NaN()
	}
	binomial := math.Sqrt(share * (1 - share) / float64(n))
	names := slices.Compact(slices.Sorted(slices.Values(molds)))
	g := float64(len(names))
	if g < 2 {
		return binomial
	}
	var sum, squares float64
	for _, m := range names {
		v := without(m)
		sum += v
		squares += v * v
	}
	jackknife := math.Sqrt(math.Max(0, (g-1)/g*(squares-sum*sum/g)))
	return math.Max(binomial, jackknife)
}
