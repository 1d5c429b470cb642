package life

import (
	"fmt"
	"math"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/lifetime"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// NewMold is a mold that could be made.
type NewMold struct {
	Form, Kind string
}

// Prospects are predictive draws of casts, ascending: of molds in use, as Run's
// Draws, but under a changed longest dwell, and of new molds under the present one.
type Prospects struct {
	InUse [][][]float64 // by factor asked for, then by mold in use as in Answer.Remaining
	New   [][]float64   // by new mold asked for
}

// Look forecasts as Run does, for molds in use with every form's longest dwell
// multiplied by each of the factors (1: as it is) from now on, and for new molds.
// The studio's habit is learnt from its log under the dwells on file. A new mold of
// a kind that the log does not know lives as common practice has it.
func Look(log history.Log, studio tables.Studio, walls wall.Answer, set Settings, seed uint64, longer []float64, fresh []NewMold) (Prospects, error) {
	fits, err := fitKinds(log)
	if err != nil {
		return Prospects{}, fmt.Errorf("the lives could not be fitted: %w", err)
	}
	byKind := map[string]kindFit{}
	for _, k := range fits {
		byKind[k.kind] = k
	}
	p := pathsOf(log, studio, walls, set, seed)
	rejects := faultsOf(log)
	var out Prospects
	for _, factor := range longer {
		var inUse [][]float64
		for m, mold := range log.Molds {
			if mold.InUse() {
				f := forecaster{index: m, mold: mold, kind: byKind[mold.Kind], paths: p, path: p.of[m], faults: rejects, set: set, longer: math.Log(factor)}
				_, draws := f.forecast(generator(seed, mold.Mold))
				inUse = append(inUse, draws)
			}
		}
		out.InUse = append(out.InUse, inUse)
	}
	for _, n := range fresh {
		kind, known := byKind[n.Kind]
		if !known {
			fit, err := lifetime.FitWeibull(nil, priorOf(n.Kind))
			if err != nil {
				return Prospects{}, fmt.Errorf("the life of a new %s mold could not be told: %w", n.Kind, err)
			}
			kind = kindFit{kind: n.Kind, fit: fit}
		}
		f := forecaster{index: unseen, mold: history.Mold{Form: n.Form, Kind: n.Kind, Status: history.StatusInUse}, kind: kind, paths: p, faults: rejects, set: set}
		if lim, ok := p.limits[history.Fold(n.Form)]; ok && known && walls.Posterior != nil {
			if joint, ok := walls.Posterior.NewDrawer(n.Form, n.Kind); ok {
				f.path = &drawer{joint: joint, lim: lim}
				if ahead, ok := p.unseen(n.Form, n.Kind); ok {
					f.path.fresh = &ahead
				}
			}
		}
		_, draws := f.forecast(generator(seed, "new "+n.Kind+" of "+n.Form))
		out.New = append(out.New, draws)
	}
	return out, nil
}

// unseen is the index of a mold that is not in the log.
const unseen = -1
