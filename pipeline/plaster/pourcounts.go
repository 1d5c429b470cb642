package plaster

import (
	"math"
	"math/rand/v2"
	"slices"

	"moldwright/pipeline/stats/counts"
)

const (
	classBelief       = 1.5 // of the log of a class's pours against the middle class: a factor of 4.5 either way
	betweenTermsScale = 0.3
	seasonsScale      = 0.6 // a season against the rest: a factor of 1.8 either way
	levelBelief       = 10  // of the log of pours per term: none to speak of
)

// cell is how often a class poured in one window.
type cell struct {
	class int
	window
	pours float64
}

// pourModel forecasts the number of pours of each class in the coming term. In
// a window of the log a class c pours N times, negative binomial with
//
//	log E[N] = log exposure + level + class_c + season·s + season_c·s,   s = +½ for the
//	same days of earlier years, −½ for the rest
//
// where exposure is the window's days over the coming term's. The level is free;
// classes and seasons lean on what is common to all, the seasons as far as the
// data say. N scatters between years beyond Poisson by a share 1/√θ, known from few years
// only: every share on a grid is weighed by its integrated likelihood and by a
// half-normal belief with a scale of betweenTermsScale (common practice, no
// source: enrolments differ by a third).
type pourModel struct {
	classes   int
	places    []place
	poisson   float64 // AICc of Poisson
	spread    float64 // AICc of the negative binomial
	share     float64 // middle scatter between years beyond Poisson, a part of the mean
	likeYears int     // windows of the same days in earlier years
}

// place is a point of the grid with its weight, added up to here.
type place struct {
	fit    counts.Fit
	weight float64
}

// spreads are the grid of the scatter between years; seasons that of the belief
// on the log of a season against the rest.
func spreads() []float64 { return []float64{0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.65, 0.8, 1.0} }
func seasons() []float64 { return []float64{0.15, 0.3, 0.6, 1.2, 2} }

// fitPours fits the model to the windows' cells. ok is false where no cell has
// a pour.
func fitPours(cells []cell, classes int, coming span) (pourModel, bool) {
	data, any := countData(cells, classes, coming)
	if !any {
		return pourModel{}, false
	}
	m := pourModel{classes: classes}
	for _, c := range cells {
		if c.class == 0 && c.like {
			m.likeYears++
		}
	}
	best := math.Inf(-1)
	var middle float64
	for k, season := range seasons() {
		data.Belief = beliefs(classes, season)
		for i, cv := range spreads() {
			fit, err := counts.WithSpread(data, 1/(cv*cv))
			if err != nil {
				continue // a belief on each coefficient leaves none open
			}
			logWeight := fit.LogMarg + halfNormal(cv, betweenTermsScale) + math.Log(stepAt(spreads(), i)) +
				halfNormal(season, seasonsScale) + math.Log(stepAt(seasons(), k))
			m.places = append(m.places, place{fit, logWeight})
			best = max(best, logWeight)
		}
	}
	var sum float64
	for i := range m.places {
		w := math.Exp(m.places[i].weight - best)
		sum += w
		middle += w / math.Sqrt(m.places[i].fit.Theta)
		m.places[i].weight = sum
	}
	m.share = middle / sum
	m.choose(data)
	return m, len(m.places) > 0
}

// halfNormal is the log density of a positive number, but for a constant.
func halfNormal(x, scale float64) float64 { return -x * x / (2 * scale * scale) }

// stepAt is the stretch of a grid that a point stands for.
func stepAt(g []float64, i int) float64 {
	low, high := g[max(i-1, 0)], g[min(i+1, len(g)-1)]
	return (high - low) / 2
}

// choose compares Poisson and negative binomial by AICc on class and season.
func (m *pourModel) choose(d counts.Data) {
	d.Belief = beliefs(m.classes, 0.6)
	poisson, err := counts.Poisson(d)
	if err != nil {
		return
	}
	spread, err := counts.NegativeBinomial(d)
	if err != nil {
		return
	}
	m.poisson, m.spread = poisson.AICc(), spread.AICc()
}

// countData are the cells as rows of a count model.
func countData(cells []cell, classes int, coming span) (counts.Data, bool) {
	var d counts.Data
	any := false
	for _, c := range cells {
		d.Y = append(d.Y, c.pours)
		d.X = append(d.X, columnsOf(c.class, classes, c.like))
		d.Offset = append(d.Offset, math.Log(c.exposure/coming.days()))
		any = any || c.pours > 0
	}
	return d, any
}

// columnsOf are level, season, and for several classes each one's own level and
// season.
func columnsOf(class, classes int, like bool) []float64 {
	s := -0.5
	if like {
		s = 0.5
	}
	x := []float64{1, s}
	if classes > 1 {
		own := make([]float64, 2*classes)
		own[class], own[classes+class] = 1, s
		x = append(x, own...)
	}
	return x
}

func beliefs(classes int, season float64) []float64 {
	b := []float64{levelBelief, season}
	if classes > 1 {
		b = append(b, slices.Repeat([]float64{classBelief}, classes)...)
		b = append(b, slices.Repeat([]float64{season}, classes)...)
	}
	return b
}

// mostPoursATerm bounds a drawn number of pours: no studio pours more.
const mostPoursATerm = 1e5

// draw draws the number of pours of a class in the coming term.
func (m pourModel) draw(class int, rng *rand.Rand) float64 {
	at := rng.Float64() * m.places[len(m.places)-1].weight
	i, _ := slices.BinarySearchFunc(m.places, at, func(p place, at float64) int {
		if p.weight < at {
			return -1
		}
		return 1
	})
	fit := m.places[min(i, len(m.places)-1)].fit
	var log, variance float64
	x := columnsOf(class, m.classes, true)
	for j := range x {
		if x[j] == 0 {
			continue
		}
		log += x[j] * fit.Beta[j]
		for k := range x {
			variance += x[j] * x[k] * fit.Cov.At(j, k)
		}
	}
	log += math.Sqrt(max(0, variance)) * rng.NormFloat64()
	return counts.Law{Mean: min(math.Exp(log), mostPoursATerm), Size: fit.Theta}.Draw(rng)
}
