package plaster

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/tables"
)

// What nobody weighs is still lost. These are expected of a studio before its
// own pours tell, as parts of the plaster: common practice, no source.
const (
	usualResidue  = 0.01 // on bucket and tools, of the plaster mixed
	residueSpread = 0.01
	usualTrimmed  = 0.02 // off a mold when it is opened and its edges are taken down, of the plaster in it
	trimmedSpread = 0.015
	// What is expected beforehand counts as so many pours.
	habitPours = 3
	// A part of the mix that no bucket keeps: gaps that mislead make up the rest.
	mostResidue = 0.06
	// A balance that is out by more is a slip of the pen and teaches nothing.
	outOfReason = 0.25
)

// habit is a part of the plaster that a pour loses without anybody weighing it.
type habit struct {
	mean   float64
	spread float64 // standard error of it for the next pour
}

// habits are what a studio usually loses unweighed, learned from those of its
// pours where enough was weighed.
type habits struct {
	residue habit // of the mix, where spills were weighed
	spilled habit // of the mix, where they were not: residue and spills together
	trimmed habit // of the plaster in the mold, where trimmings were not weighed
	// scale is how far the errors of needed volumes and of the residue are from
	// those that reading and weighing errors predict, as a factor.
	scale float64
}

// learned is a normal variable known from a prior worth habitPours and from xs:
// the conjugate normal and inverse gamma (Gelman et al., Bayesian Data Analysis,
// section 3.3; from memory). With x̄ the mean of n values, m and s² of the prior,
// and p = habitPours,
//
//	mean = (p·m + n·x̄)/(p + n)
//	variance = (p·s² + Σ(x − x̄)² + p·n/(p + n)·(x̄ − m)²)/(p + n)
//
// and the next value has Student's law with p + n degrees of freedom.
type learned struct {
	mean, variance, n float64
}

func learn(xs []float64, mean, variance float64) learned {
	n, p := float64(len(xs)), float64(habitPours)
	l := learned{mean: mean, variance: variance, n: p + n}
	if n == 0 {
		return l
	}
	average := meanOf(xs)
	squares := p*variance + p*n/(p+n)*(average-mean)*(average-mean)
	for _, x := range xs {
		squares += (x - average) * (x - average)
	}
	l.mean, l.variance = (p*mean+n*average)/(p+n), squares/(p+n)
	return l
}

// wider is how much wider an 80 % interval of Student's law is than a normal one.
func (l learned) wider() float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: l.n}.Quantile(0.9) / z80
}

// habitsOf learns from the pours that made a usable mold. What was mixed less
// what was needed, left over and spilled is the residue and the error of the
// needed volume together; trimmings stand for themselves.
func habitsOf(entries []entry, set Settings) habits {
	var rests, unspilled, trims []float64
	var predicted float64
	for _, e := range entries {
		if !e.usable {
			continue
		}
		w := e.weighed
		filled := e.PlasterKg - orZero(w.leftover) - orZero(w.spilled)
		if t := orZero(w.trimmed) / filled; filled > 0 && t > 0 && t < outOfReason {
			trims = append(trims, t)
		}
		if !e.needed.known() || !tables.Has(w.leftover) {
			continue
		}
		rest := (e.PlasterKg - e.needed.kg - w.leftover - orZero(w.spilled)) / e.PlasterKg
		if math.Abs(rest) > outOfReason {
			continue
		}
		predicted += math.Pow(e.needed.se/e.PlasterKg, 2) + set.WeighingShare*set.WeighingShare
		if tables.Has(w.spilled) {
			rests = append(rests, rest)
		} else {
			unspilled = append(unspilled, rest)
		}
	}
	if n := float64(len(rests) + len(unspilled)); n > 0 {
		predicted /= n
	}
	return habitsFrom(rests, unspilled, trims, predicted)
}

// habitsFrom takes the variance of the needed volumes that their reading errors predict.
func habitsFrom(rests, unspilled, trims []float64, predicted float64) habits {
	prior := residueSpread*residueSpread + predicted
	weighed, all := learn(rests, usualResidue, prior), learn(append(append([]float64{}, rests...), unspilled...), usualResidue, prior)
	loose := learn(unspilled, all.mean, prior)
	h := habits{scale: math.Sqrt(all.variance / prior)}
	of := func(l learned) habit {
		spread := h.scale * residueSpread * all.wider()
		return habit{mean: min(max(l.mean, 0), mostResidue), spread: math.Hypot(spread, math.Sqrt(all.variance/l.n))}
	}
	h.residue, h.spilled = of(weighed), of(loose)
	t := learn(trims, usualTrimmed, trimmedSpread*trimmedSpread)
	h.trimmed = habit{mean: t.mean, spread: t.wider() * math.Sqrt(t.variance*(1+1/t.n))}
	return h
}
