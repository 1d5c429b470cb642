package life

import (
	"math"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/lifetime"
	"moldwright/pipeline/tables"
)

// kindFit is the law of lives of one kind of mold.
type kindFit struct {
	kind  string
	units []lifetime.Unit
	fit   lifetime.Fit
}

// priorOf is what common practice says of lives, no source: split molds make 20
// to 50 casts, conventional ones about 100. That is said of the usual mold, so it
// is a belief about a kind's median life: nine kinds of ten lie between the
// bounds; for molds of unknown kind they span both.
func priorOf(kind string) lifetime.Prior {
	shape := lifetime.Between(1, 6, 0.9)
	low, high := 20.0, 170.0
	switch kind {
	case "split":
		high = 50
	case "one-piece", "multi-part":
		low = 60
	}
	scale := lifetime.Between(low, high, 0.9)
	// The scale of a Weibull law is its 63 % point: (ln 2)^(−1/shape) medians.
	scale.Median *= math.Pow(math.Ln2, -1/shape.Median)
	return lifetime.Prior{Shape: shape, Scale: scale}
}

// endsLife reports whether a mold's end says how long its kind lives. A mold
// that became too slow ended on its wall path, which is forecast from walls;
// one retired for another reason could have gone on. Both are censored.
func endsLife(m history.Mold) bool {
	return !m.InUse() && m.EndReason != "slow" && m.EndReason != "other"
}

// unitOf is the life of a mold as it was seen: from its age when the log
// begins, to its age now or at its end. A mold that made no cast in the log
// says nothing; ok is then false.
func unitOf(m history.Mold) (u lifetime.Unit, ok bool) {
	u = lifetime.Unit{Entry: float64(m.BeforeLog), Exit: float64(m.Age), Ended: endsLife(m)}
	if u.Entry > 0 {
		u.Entry += halfCast
	}
	if !u.Ended {
		u.Exit += halfCast
	}
	return u, m.Age > m.BeforeLog
}

// halfCast makes ages, which are whole, points of a continuous law: an end at age
// E stands for E − ½ to E + ½, and a mold that has made a casts and goes on has
// passed a + ½.
const halfCast = 0.5

// fitKinds fits every kind that the log knows, by name. Kinds lean on each other: a
// studio whose split molds outlive common practice treats the others well, too.
func fitKinds(log history.Log) ([]kindFit, error) {
	byKind := map[string][]lifetime.Unit{}
	var kinds []string
	for _, m := range log.Molds {
		if !slices.Contains(kinds, m.Kind) {
			kinds = append(kinds, m.Kind)
		}
		if u, ok := unitOf(m); ok {
			byKind[m.Kind] = append(byKind[m.Kind], u)
		}
	}
	slices.Sort(kinds)
	groups, priors := make([][]lifetime.Unit, len(kinds)), make([]lifetime.Prior, len(kinds))
	for i, k := range kinds {
		groups[i], priors[i] = byKind[k], priorOf(k)
	}
	pooled, err := lifetime.FitPooled(groups, priors)
	if err != nil {
		return nil, err
	}
	fits := make([]kindFit, len(kinds))
	for i, k := range kinds {
		fits[i] = kindFit{kind: k, units: groups[i], fit: pooled[i]}
	}
	return fits, nil
}

// row tells the fit, the belief of common practice and what the log alone says.
func (k kindFit) row() tables.LifeFit {
	const level = 0.95
	shape, scale, median := k.fit.ShapeInterval(level), k.fit.ScaleInterval(level), k.fit.QuantileInterval(0.5, level)
	out := tables.LifeFit{
		Kind: k.kind, Shape: k.fit.Shape, Scale: k.fit.Scale, ShapeSE: k.fit.ShapeSE, ScaleSE: k.fit.ScaleSE,
		Ended: tables.Count(k.fit.Ended), InUse: tables.Count(k.fit.Censored), PriorWeight: k.fit.PriorWeight,
		ShapeLower95: finite(shape.Lower), ShapeUpper95: finite(shape.Upper), ScaleLower95: finite(scale.Lower), ScaleUpper95: finite(scale.Upper),
		MedianLife: finite(k.fit.Quantile(0.5)), MedianLower95: finite(median.Lower), MedianUpper95: finite(median.Upper),
		PriorScale: priorOf(k.kind).Scale.Median, DataShape: tables.Absent(), DataScale: tables.Absent(),
		PoolWeight: k.fit.PoolWeight,
	}
	if k.fit.Ended >= leastEnded {
		if alone, err := lifetime.FitWeibull(k.units, lifetime.Prior{}); err == nil {
			out.DataShape, out.DataScale = finite(alone.Shape), finite(alone.Scale)
		}
	}
	return out
}

// leastEnded is how many molds must have ended before a law is fitted to them
// without common practice; with fewer it follows single molds.
const leastEnded = 3

// finite is absent where a limit is not set by the data.
func finite(x float64) float64 {
	if math.IsInf(x, 0) || x > 1e6 {
		return tables.Absent()
	}
	return x
}
