package wall

import (
	"cmp"
	"fmt"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/chunks"
	"moldwright/pipeline/stats/mixed"
	"moldwright/pipeline/tables"
)

// mostLearned bounds the casts that are looked through for usable ones, as a
// multiple of Settings.Learn: in some logs few walls are measured.
const mostLearned = 8

// slipCounts are the usable casts of each form by batch of slip, by its place in
// the log.
type slipCounts map[string][]int

// learnable is how many casts of the log to learn from: all, or as many as hold
// about Settings.Learn usable ones. Of a large log it also counts usable casts.
func learnable(log history.Log, set Settings) (most int, counts slipCounts) {
	if set.Learn <= 0 || len(log.Casts) <= set.Learn {
		return len(log.Casts), nil
	}
	usable, counts := 0, slipCounts{}
	for _, m := range log.Molds {
		form := orUnknown(m.Form)
		if counts[form] == nil {
			counts[form] = make([]int, max(1, len(log.Slips)))
		}
		ofForm := counts[form]
		for i := m.First; i < m.Last; i++ {
			if c := &log.Casts[i]; c.DwellMin > 0 && c.WallMM > 0 {
				usable++
				ofForm[c.Slip.Place()]++
			}
		}
	}
	if usable <= set.Learn {
		return len(log.Casts), nil
	}
	return min(mostLearned*set.Learn, int(float64(set.Learn)*float64(len(log.Casts))/float64(usable))), counts
}

// usual is the middle of what is known of the slips of each form's casts.
func (counts slipCounts) usual(at [][slipTerms]float64) map[string][slipTerms]float64 {
	out := map[string][slipTerms]float64{}
	for form, casts := range counts {
		var usual [slipTerms]float64
		order := make([]int, 0, len(casts))
		total := 0
		for place, n := range casts {
			if n > 0 && place > 0 {
				order, total = append(order, place), total+n
			}
		}
		for k := range usual {
			slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(at[a][k], at[b][k]) })
			below := 0
			for _, place := range order {
				if below += casts[place]; 2*below >= total {
					usual[k] = at[place][k]
					break
				}
			}
		}
		out[form] = usual
	}
	return out
}

// firstPass is how many times the casts learned from the first pass takes in.
const firstPass = 10

// runFar is Run of a large log: law and terms by a part of it, then two passes,
// the first of a tenfold part, the second of all casts. Each mold finds its
// effects about the fit before (or that fit knows them), and the law is replaced
// by its tangent there. What is left of the curvature is the square of the error
// of that fit, which after the first pass is nothing beside the last one's error.
func runFar(log history.Log, studio tables.Studio, set Settings, most int, counts slipCounts) Answer {
	sub, of := log.Learning(most)
	in := gatherSome(sub, studio)
	in.centreAt(log.Slips, counts)
	fitted, why := learn(in, set)
	if why != "" {
		in.log = log
		return practice(in, set, why)
	}
	w := newFar(log, studio, in, fitted)
	wet := make([]float64, len(log.Molds))
	at := w.standAt(fitted.best.model, true)
	var all passed
	for _, chosen := range [][]bool{some(log, firstPass*most), nil} {
		all = w.pass(at, chosen, wet)
		model, err := w.fit(all.blocks, at.model)
		if err != nil {
			in.log = log
			return practice(in, set, "the wall model could not be fitted to all casts: "+err.Error())
		}
		w.last, at = at, w.standAt(model, chosen != nil)
	}
	known := make([]bool, len(log.Molds))
	for _, m := range told(log, set) {
		known[m] = true
	}
	w.forget(at.model, func(m int) bool { return known[m] })
	fitted.takeOver(at.model)
	fitted.notes = append(fitted.notes, w.notes(len(in.rows), len(of), all)...)

	in.log = log
	p := posteriorOf(in, fitted.best, fitted.weights)
	p.far, p.typicalWet, p.lastSlips = w, wet, all.slips
	p.typicalSlip = counts.usual(w.slipAt)
	ans := answerOf(fitted, p, set)
	ans.Casts, ans.Learned = all.used, len(in.rows)
	for i := range ans.Curves {
		ans.Curves[i].Casts = all.ofForm[ans.Curves[i].Form]
	}
	ans.Problems = p.oddOf(all, studio, set)
	for _, m := range of {
		if len(ans.Used) >= set.UsedShown {
			break
		}
		ans.Used = p.used(ans.Used, m, studio)
	}
	ans.each = func(yield func(tables.CastUsed) bool) { p.allUsed(studio, yield) }
	return ans
}

// forget gives up what is known of molds only to tell what the others say of them.
// It is asked of the molds that are told of, which keep it, and else of a few, whose
// casts are then walked again.
func (w *far) forget(model *mixed.Model, keep func(m int) bool) {
	if !w.last.alone {
		return
	}
	w.last.model = nil // it holds as much
	model.Forget(keep, func(m int, of *mixed.Block) {
		walk := &walker{far: w, at: w.last, out: w.nothing()}
		walk.mold(m)
		*of = walk.block
	})
}

// some marks the molds of a part of the log with about so many casts; nil for all.
func some(log history.Log, most int) []bool {
	if len(log.Casts) <= most {
		return nil
	}
	chosen := make([]bool, len(log.Molds))
	_, of := log.Learning(most)
	for _, m := range of {
		chosen[m] = true
	}
	return chosen
}

// fit of the chosen law's tangent to all casts, with what is believed beforehand.
func (w *far) fit(blocks *mixed.Blocks, like *mixed.Model) (*mixed.Model, error) {
	x := make([]float64, len(w.design.columns))
	for _, p := range w.law.priors(w.design, w.resistance) {
		clear(x)
		x[p.column] = p.x
		blocks.Prior(x, p.y)
	}
	return mixed.FitBlocks(blocks, mixed.REML, like)
}

// takeOver replaces the model of the chosen law by that of all casts.
func (f *fitted) takeOver(model *mixed.Model) {
	for i := range f.all {
		if f.all[i].law == f.best.law {
			f.all[i].model, f.all[i].part = model, false
		}
	}
	f.best.model, f.best.part = model, false
}

// notes say what was made on a part.
func (w *far) notes(learned, molds int, all passed) []string {
	out := []string{fmt.Sprintf("law, terms, drying time and the scale of unusual walls were chosen on %d casts of %d molds, whole molds drawn by their names; the law was then fitted to all %d casts, while the other candidates' figures are those of the part", learned, molds, all.used)}
	if all.named > 0 {
		out = append(out, fmt.Sprintf("of all casts %d were logged without a slip and are taken to be of that of the form's nearest day", all.named))
	}
	if all.apart > 0 {
		out = append(out, fmt.Sprintf("%d measured casts are not in the fit, since none of the molds that it was chosen on is of their form and kind", all.apart))
	}
	return out
}

// oddOf tells the oddest casts one by one, in order of the log, and the number of
// the others.
func (p *Posterior) oddOf(all passed, studio tables.Studio, set Settings) (out []tables.Problem) {
	odd := slices.Clone(all.odd)
	slices.SortStableFunc(odd, func(a, b oddCast) int { return cmp.Compare(a.weight, b.weight) })
	rest := max(0, len(odd)-set.OddTold)
	odd = odd[:len(odd)-rest]
	slices.SortFunc(odd, func(a, b oddCast) int { return cmp.Compare(a.cast, b.cast) })
	for _, o := range odd {
		out = append(out, unusual(p, studio, int(o.cast), float64(o.fitted)))
	}
	if rest > 0 {
		out = append(out, tables.Problem{
			Code: "unusual-wall", Severity: tables.Notice, Value: fmt.Sprint(rest),
			Message: fmt.Sprintf("%d further walls are far from what was expected and count for little in the fit; the %d oddest are told one by one", rest, len(odd)),
			Mend:    "look for the rows with a weight below 0.5 in the table casts_used",
		})
	}
	for _, cast := range all.uneven[:min(len(all.uneven), set.OddTold)] {
		out = append(out, uneven(p, studio, int(cast)))
	}
	if rest := len(all.uneven) - set.OddTold; rest > 0 {
		out = append(out, tables.Problem{
			Code: "odd-reading", Severity: tables.Notice, Value: fmt.Sprint(rest),
			Message: fmt.Sprintf("of %d further walls one of the readings is far off the others and is left out", rest),
			Mend:    "look at the walls of which three or more readings were logged",
		})
	}
	return out
}

// usedMolds is how many molds' casts are worked out together.
const usedMolds = 32

// allUsed works the casts of the fit out on all cores, a few molds ahead.
func (p *Posterior) allUsed(studio tables.Studio, yield func(tables.CastUsed) bool) {
	chunks.InOrder(len(p.in.log.Molds), usedMolds, func(from, to int) (out []tables.CastUsed) {
		for m := from; m < to; m++ {
			if p.far.sortOf[m] >= 0 {
				out = p.used(out, m, studio)
			}
		}
		return out
	}, func(casts []tables.CastUsed) bool {
		for _, c := range casts {
			if !yield(c) {
				return false
			}
		}
		return true
	})
}
