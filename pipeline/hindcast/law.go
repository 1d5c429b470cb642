package hindcast

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/tables"
)

// law is a forecast of remaining casts as a distribution of the time of the end:
// a mold that makes R further casts ends between R and R+1. It goes through what
// the forecast's row tells (its 10, 50 and 90 % points and its chances to make 5,
// 10 and 20 more), straight between, and falls exponentially beyond.
type law struct {
	x, p []float64
}

func lawOf(r tables.RemainingCasts) (law, bool) {
	if !tables.Has(r.RemainingP10) || !tables.Has(r.RemainingP50) || !tables.Has(r.RemainingP90) {
		return law{}, false
	}
	type knot struct{ x, p float64 }
	knots := []knot{{0, 0}, {r.RemainingP10 + 0.5, 0.1}, {r.RemainingP50 + 0.5, 0.5}, {r.RemainingP90 + 0.5, 0.9}}
	for _, k := range []knot{{5, 1 - r.Survive5}, {10, 1 - r.Survive10}, {20, 1 - r.Survive20}} {
		if tables.Has(k.p) && k.p > 0 && k.p < 0.9 {
			knots = append(knots, k)
		}
	}
	slices.SortFunc(knots, func(a, b knot) int { return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.p, b.p)) })
	var l law
	for _, k := range knots {
		if n := len(l.x); n > 0 && k.p < l.p[n-1] {
			k.p = l.p[n-1]
		}
		l.x, l.p = append(l.x, k.x), append(l.p, k.p)
	}
	return l, true
}

// at is the chance that the mold has ended by x casts from now.
func (l law) at(x float64) float64 {
	n := len(l.x)
	if x >= l.x[n-1] {
		return 1 - (1-l.p[n-1])*math.Exp(-(x-l.x[n-1])/l.tail())
	}
	for i := 1; i < n; i++ {
		if x < l.x[i] {
			return l.p[i-1] + (l.p[i]-l.p[i-1])*(x-l.x[i-1])/(l.x[i]-l.x[i-1])
		}
	}
	return l.p[n-1]
}

// point is the number of casts by which the mold has ended with chance p.
func (l law) point(p float64) float64 {
	n := len(l.x)
	if p > l.p[n-1] {
		return l.x[n-1] + l.tail()*math.Log((1-l.p[n-1])/(1-p))
	}
	return l.inside(p)
}

// tail is the mean of the exponential beyond the last point, such that it goes
// on as from the middle to the last.
func (l law) tail() float64 {
	n := len(l.x)
	middle := l.inside(0.5)
	return math.Max(0.5, (l.x[n-1]-middle)/math.Log(5))
}

// inside is point for chances up to that of the last knot.
func (l law) inside(p float64) float64 {
	for i := 1; i < len(l.x); i++ {
		if p <= l.p[i] && l.p[i] > l.p[i-1] {
			return l.x[i-1] + (l.x[i]-l.x[i-1])*(p-l.p[i-1])/(l.p[i]-l.p[i-1])
		}
	}
	return l.x[len(l.x)-1]
}

// widened is the chance p on a normal scale stretched by a factor about the middle.
func widened(p, factor float64) float64 {
	if p <= 0 || p >= 1 {
		return p
	}
	return distuv.UnitNormal.CDF(factor * distuv.UnitNormal.Quantile(p))
}
