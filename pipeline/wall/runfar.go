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

// learnable is how many casts of the log to learn from: all, or as many as hold
// about Settings.Learn usable ones.
func learnable(log history.Log, set Settings) int {
	if set.Learn <= 0 {
		return len(log.Casts)
	}
	usable := 0
	for i := range log.Casts {
		if c := &log.Casts[i]; c.DwellMin > 0 && c.WallMM > 0 {
			usable++
		}
	}
	if usable <= set.Learn {
		return len(log.Casts)
	}
	return min(mostLearned*set.Learn, int(float64(set.Learn)*float64(len(log.Casts))/float64(usable)))
}

// runFar is Run of a large log: law and terms by a part of it, then two passes
// over all casts. In the first each mold finds its effects about the part's fit,
// in the second the fit of the first knows them; the law is replaced by its
// tangent there, so that the second leaves nothing to mend.
func runFar(log history.Log, studio tables.Studio, set Settings, most int) Answer {
	sub, of := log.Learning(most)
	in := gatherSome(sub, studio)
	fitted, why := learn(in, set)
	if why != "" {
		in.log = log
		return practice(in, set, why)
	}
	w := newFar(log, studio, in, fitted)
	wet := make([]float64, len(log.Molds))
	at := w.standAt(fitted.best.model, true)
	var all passed
	for range 2 {
		all = w.pass(at, wet)
		model, err := w.fit(all.blocks, at.model)
		if err != nil {
			in.log = log
			return practice(in, set, "the wall model could not be fitted to all casts: "+err.Error())
		}
		at = w.standAt(model, false)
	}
	fitted.takeOver(at.model)
	fitted.notes = append(fitted.notes, w.notes(len(in.rows), len(of), all)...)

	in.log = log
	p := posteriorOf(in, fitted.best, fitted.weights)
	p.far, p.typicalWet, p.lastSlips = w, wet, all.slips
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
		ans.Used = append(ans.Used, p.used(m, studio)...)
	}
	ans.each = func(yield func(tables.CastUsed) bool) { p.allUsed(studio, yield) }
	return ans
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
			f.all[i].model = model
		}
	}
	f.best.model = model
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
				out = append(out, p.used(m, studio)...)
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
