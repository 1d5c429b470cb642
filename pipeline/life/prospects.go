package life

import (
	"fmt"
	"math"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/lifetime"
	"moldwright/pipeline/stats/logistic"
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
	InUse [][][]float64 // by factor asked for, then by mold in use as in Answer.Remaining; none for molds of forms that no new mold is asked for of, if any is
	New   [][]float64   // by new mold asked for
}

// Look forecasts as Run does, for molds in use with every form's longest dwell
// multiplied by each of the factors (1: as it is) from now on, and for new molds.
// The studio's habit is learnt from its log under the dwells on file. A new mold of
// a kind that the log does not know lives as common practice has it.
func Look(log history.Log, studio tables.Studio, walls wall.Answer, set Settings, seed uint64, longer []float64, fresh []NewMold) (Prospects, error) {
	k, err := Learn(log, studio, walls, set, seed)
	if err != nil {
		return Prospects{}, err
	}
	return k.Look(walls, longer, fresh)
}

// Look is that of the answer's own log, with so many draws a mold at most and without
// learning from it again; ok is false where the answer was not made by Run.
func (a Answer) Look(walls wall.Answer, draws int, longer []float64, fresh []NewMold) (p Prospects, ok bool, err error) {
	if a.known == nil {
		return Prospects{}, false, nil
	}
	k := *a.known
	k.draws = min(k.draws, draws)
	p, err = k.Look(walls, longer, fresh)
	return p, true, err
}

// Look forecasts molds in use under changed dwells, and new molds.
func (k *Known) Look(walls wall.Answer, longer []float64, fresh []NewMold) (Prospects, error) {
	p := k.paths(k.set.Path)
	var out Prospects
	for _, factor := range longer {
		_, draws := k.look(p, math.Log(factor), formsOf(fresh))
		out.InUse = append(out.InUse, draws)
	}
	for _, n := range fresh {
		kind, known := k.byKind[n.Kind]
		if !known {
			fit, err := lifetime.FitWeibull(nil, priorOf(n.Kind))
			if err != nil {
				return Prospects{}, fmt.Errorf("the life of a new %s mold could not be told: %w", n.Kind, err)
			}
			kind = kindFit{kind: n.Kind, fit: fit}
		}
		var path *drawer
		if lim, ok := p.limits[history.Fold(n.Form)]; ok && known && walls.Posterior != nil {
			if joint, ok := walls.Posterior.NewDrawer(n.Form, n.Kind); ok {
				path = &drawer{joint: joint, lim: lim}
				if ahead, ok := p.unseen(n.Form, n.Kind); ok {
					path.fresh = &ahead
				}
			}
		}
		var laws []logistic.UnitLaw
		if k.rejects != nil {
			laws = k.rejects.model.Unit(unseen)
		}
		f := k.forecaster(p, history.Mold{Form: n.Form, Kind: n.Kind, Status: history.StatusInUse}, path, k.frame(kind.mortality(0, k.set.Horizon).survival(0, k.set.Horizon), 0, laws))
		f.kind, f.room = kind, &room{}
		_, draws := f.forecast(generator(k.seed, "new "+n.Kind+" of "+n.Form))
		out.New = append(out.New, draws)
	}
	return out, nil
}

// formsOf tells of a form whether a new mold of it is asked for; all forms are where
// none is. A plan for a few forms need not look at the thousands of molds of others.
func formsOf(fresh []NewMold) func(form string) bool {
	if len(fresh) == 0 {
		return anyForm
	}
	asked := map[string]bool{}
	for _, n := range fresh {
		asked[history.Fold(n.Form)] = true
	}
	return func(form string) bool { return asked[history.Fold(form)] }
}

func anyForm(string) bool { return true }

// unseen is the unit of a mold that is not in the log.
const unseen = -1
