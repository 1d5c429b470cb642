package life

import (
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
// to 50 casts, conventional ones about 100. Each prior puts nine kinds of ten
// between its bounds; for molds of unknown kind the bounds span both.
func priorOf(kind string) lifetime.Prior {
	shape := lifetime.Between(1, 6, 0.9)
	switch kind {
	case "split":
		return lifetime.Prior{Shape: shape, Scale: lifetime.Between(20, 50, 0.9)}
	case "one-piece", "multi-part":
		return lifetime.Prior{Shape: shape, Scale: lifetime.Between(60, 170, 0.9)}
	}
	return lifetime.Prior{Shape: shape, Scale: lifetime.Between(20, 170, 0.9)}
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
	return u, u.Exit > u.Entry
}

// fitKinds fits every kind that the log knows, by name.
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
	var fits []kindFit
	for _, k := range kinds {
		f, err := lifetime.FitWeibull(byKind[k], priorOf(k))
		if err != nil {
			return nil, err
		}
		fits = append(fits, kindFit{kind: k, units: byKind[k], fit: f})
	}
	return fits, nil
}

func (k kindFit) row() tables.LifeFit {
	return tables.LifeFit{
		Kind: k.kind, Shape: k.fit.Shape, Scale: k.fit.Scale, ShapeSE: k.fit.ShapeSE, ScaleSE: k.fit.ScaleSE,
		Ended: tables.Count(k.fit.Ended), InUse: tables.Count(k.fit.Censored), PriorWeight: k.fit.PriorWeight,
	}
}
