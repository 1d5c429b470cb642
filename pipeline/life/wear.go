package life

import (
	"math"
	"slices"

	"moldwright/pipeline/stats/wander"
)

// wear is how the molds of a studio differ in what each cast takes of their
// margin, as a factor f on the kind's fitted wear:
//
//	f ~ (1 − fast)·N(m, (spread·m)²) + fast·N(fastMiddle·m, (fastSpread·m)²),  m the kind's middle
//
// A normal law alone would take a few molds that wear out early for a sign that
// all of them wear faster and are harder to tell.
type wear struct {
	middle map[string]float64 // by kind
	doubt  map[string]float64 // variance of middle
	spread float64
	fast   float64 // share of molds that wear early
}

// Before a log is read (common practice, no source): one mold in twelve wears
// early, about 2.3 times as fast as its kind; the others differ by a quarter.
const (
	fastMiddle = 2.3
	fastSpread = 0.45
	fastShare  = 1.0 / 12
	fastWeight = 12.0 // molds that this is worth
	wearSpread = 0.25
	wearWeight = 6.0
	middleSD   = 0.6 // of the kind's middle factor about 1: fast molds pull the fitted wear up
)

// leastMiddle keeps a kind that hardly wears from having no scale at all.
const leastMiddle = 0.1

// seenWear is what one mold's casts say of its factor: a normal likelihood.
type seenWear struct {
	kind     string
	f, v     float64
	informed bool
}

const wearRounds = 60

// learnWear estimates by EM (Dempster, Laird & Rubin 1977), with the beliefs above
// as pseudo-molds.
func learnWear(all []seenWear) wear {
	w := wear{middle: map[string]float64{}, doubt: map[string]float64{}, spread: wearSpread, fast: fastShare}
	var kinds []string
	for _, s := range all {
		if !slices.Contains(kinds, s.kind) {
			kinds = append(kinds, s.kind)
			w.middle[s.kind], w.doubt[s.kind] = 1, middleSD*middleSD
		}
	}
	for range wearRounds {
		fast, n := fastShare*fastWeight, fastWeight
		squares, cores := wearSpread*wearSpread*wearWeight, wearWeight
		sum, info := map[string]float64{}, map[string]float64{}
		for _, k := range kinds {
			info[k] = 1 / (middleSD * middleSD)
			sum[k] = info[k]
		}
		for _, s := range all {
			if !s.informed {
				continue
			}
			m := w.middle[s.kind]
			p := w.chanceFast(s)
			fast += p
			n++
			// Of a core mold: its own factor, given its casts.
			core := w.spread * w.spread * m * m
			v := 1 / (1/s.v + 1/core)
			f := v * (s.f/s.v + m/core)
			squares += (1 - p) * ((f-m)*(f-m) + v) / (m * m)
			cores += 1 - p
			// The middle, the mold's own factor integrated out.
			t := core + s.v
			u := (fastSpread*fastSpread*m*m + s.v) / (fastMiddle * fastMiddle)
			sum[s.kind] += (1-p)*s.f/t + p*s.f/fastMiddle/u
			info[s.kind] += (1-p)/t + p/u
		}
		w.fast = fast / n
		w.spread = math.Sqrt(squares / cores)
		for _, k := range kinds {
			w.middle[k], w.doubt[k] = max(leastMiddle, sum[k]/info[k]), 1/info[k]
		}
	}
	return w
}

// chanceFast is the chance that a mold wears early.
func (w wear) chanceFast(s seenWear) float64 {
	m := w.middle[s.kind]
	core := (1 - w.fast) * density(s.f, m, w.spread*w.spread*m*m+s.v)
	fast := w.fast * density(s.f, fastMiddle*m, fastSpread*fastSpread*m*m+s.v)
	if !(core+fast > 0) {
		return 0
	}
	return fast / (core + fast)
}

func density(x, mean, variance float64) float64 {
	return math.Exp(-(x-mean)*(x-mean)/(2*variance)) / math.Sqrt(2*math.Pi*variance)
}

// wideFactor is a belief about a mold's factor that says next to nothing.
const wideFactor = 3.0

// seenWear is what the mold's casts alone say of its wear, as a factor on its
// kind's: its posterior under a wide belief, the belief taken out again.
func (r *readings) seenWear(model *wander.Model, unit int) seenWear {
	out := seenWear{kind: r.kind}
	if !(r.rate > 0) || len(r.unit.Ages) < 2 {
		return out
	}
	s := model.ForecastAs(unit, []wander.DriftLaw{{Mean: r.rate, SD: wideFactor * r.rate, Chance: 1}}).State()
	v := s.Cov[1][1] / (r.rate * r.rate)
	info := 1/v - 1/(wideFactor*wideFactor)
	if info <= 1e-3 {
		return out
	}
	out.v = 1 / info
	out.f = (s.Drift/r.rate/v - 1/(wideFactor*wideFactor)) / info
	out.informed = true
	return out
}

// drifts are the ways in which the molds of its kind wear, with their chances.
func (r *readings) drifts(w wear) []wander.DriftLaw {
	if !(r.rate > 0) {
		return []wander.DriftLaw{{Mean: r.rate, SD: math.Abs(r.rate), Chance: 1}}
	}
	m, doubt := w.middle[r.kind], w.doubt[r.kind]
	return []wander.DriftLaw{
		{Mean: m * r.rate, SD: r.rate * math.Sqrt(w.spread*w.spread*m*m+doubt), Chance: 1 - w.fast},
		{Mean: fastMiddle * m * r.rate, SD: r.rate * math.Sqrt(fastSpread*fastSpread*m*m+fastMiddle*fastMiddle*doubt), Chance: w.fast},
	}
}
