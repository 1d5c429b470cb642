package life

import (
	"math"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/wander"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// paths are the ways of all molds of a log to their limits. A path is minus the
// margin that a mold has left (see wall.Course): it starts below 0, climbs with
// each cast, and the mold is too slow where it is above 0.
type paths struct {
	of        []*drawer // by mold; nil without a path
	limits    map[string]limit
	habits    habits
	wear      wear
	fitted    bool    // whether the paths of this log were fitted
	gain      float64 // AICc of straight paths less that of wandering ones
	wandering bool
}

func pathsOf(log history.Log, studio tables.Studio, walls wall.Answer, set Settings, seed uint64) paths {
	p := paths{of: make([]*drawer, len(log.Molds)), limits: limitsOf(studio)}
	if walls.Posterior == nil {
		return p
	}
	var all []*readings
	for m, mold := range log.Molds {
		lim, ok := p.limits[history.Fold(mold.Form)]
		if !ok {
			continue
		}
		d := &drawer{age: float64(mold.Age), casts: measured(log, mold), lim: lim}
		if a, ok := walls.Posterior.Approach(m); ok {
			d.readings = readingsOf(a, mold, lim)
			all = append(all, d.readings)
		} else if d.joint, ok = walls.Posterior.RestedDrawer(m); !ok {
			continue
		}
		p.of[m] = d
	}
	p.fit(all, set)
	for m, d := range p.of {
		if d != nil && d.readings != nil && !p.fitted {
			p.of[m] = straightDrawer(walls.Posterior, m, d)
		}
	}
	var seen []witness
	for m, mold := range log.Molds {
		if d := p.of[m]; d != nil && mold.Age > mold.BeforeLog {
			seen = append(seen, d.witness(mold, generator(seed, "habit "+mold.Mold)))
		}
	}
	p.habits = learnHabits(seen)
	return p
}

// straightDrawer draws from the joint posterior of the wall model, where paths
// of their own could not be fitted.
func straightDrawer(p *wall.Posterior, m int, d *drawer) *drawer {
	joint, ok := p.RestedDrawer(m)
	if !ok {
		return nil
	}
	return &drawer{age: d.age, casts: d.casts, lim: d.lim, joint: joint}
}

// measured counts a mold's casts with a wall and a dwell.
func measured(log history.Log, m history.Mold) int {
	n := 0
	for _, c := range log.Casts[m.First:m.Last] {
		if c.WallMM > 0 && c.DwellMin > 0 {
			n++
		}
	}
	return n
}

// readings are what a mold's casts say of its path.
type readings struct {
	kind, form string
	course     wall.Course // by the other molds
	fresh      float64     // margin of a new mold, by the others
	rate       float64     // loss of margin per cast, by all molds of its form and kind
	unit       wander.Unit
	forecast   wander.Forecast
}

// readingsOf turns log walls into margins: at its i-th cast a wall that is e
// thinner (in log wall) than the others foretell has lost e/|gain| more of its margin.
func readingsOf(a wall.Approach, mold history.Mold, lim limit) *readings {
	r := &readings{kind: mold.Kind, form: history.Fold(mold.Form), course: a.Course([]float64{0, 0}), rate: a.Rate}
	perCast := 0.0
	r.fresh, perCast = r.course.Margin(lim.wallMM, lim.dwellMin)
	usual, n := 0.0, 0.0
	for _, c := range a.Casts {
		if g := c.Gain(); g != 0 {
			usual, n = usual+g, n+1
		}
	}
	for _, c := range a.Casts {
		g := c.Gain()
		if g == 0 && n > 0 {
			g = usual / n // a new mold's first cast: like its others
		}
		if g == 0 {
			continue
		}
		u := &r.unit
		u.Ages = append(u.Ages, float64(c.Age))
		u.Values = append(u.Values, c.Y/g+perCast*float64(c.Age)-r.fresh)
		u.Weights = append(u.Weights, g*g*math.Max(c.Trust, leastTrust)/c.Variance)
	}
	return r
}

// leastTrust bounds the weight of a mistyped wall.
const leastTrust = 1e-4

// fit fits all paths at once, and what is known of each mold's.
func (p *paths) fit(all []*readings, set Settings) {
	units, opt, ok := problemOf(all)
	if !ok {
		return
	}
	c, err := wander.Choose(units, opt)
	if err != nil {
		return // the wall model's own straight paths serve
	}
	p.fitted, p.gain = true, c.Gain
	model := c.Straight
	if set.Path == PathWandering || set.Path == PathByData && c.Gain > 0 {
		model, p.wandering = c.Wandering, true
	}
	var factors []seenWear
	for i, r := range all {
		factors = append(factors, r.seenWear(model, i))
	}
	p.wear = learnWear(factors)
	for i, r := range all {
		r.forecast = model.ForecastAs(i, r.drifts(p.wear))
	}
}

// Beliefs about paths before their readings are seen, common practice, no source.
// The wall model, which saw the same walls, gives the middles only; they are held
// loosely.
const (
	noiseDoubt = 0.3 // SD of the log of a reading's noise against the wall model's
	levelDoubt = 1.0 // SD of a form's level, in margins of a new mold
	rateDoubt  = 0.3 // SD of a kind's wear, in wears
)

// problemOf states the paths as units of a fit: a mean level for each form, a
// mean drift for each kind.
func problemOf(all []*readings) ([]wander.Unit, wander.Options, bool) {
	var forms, kinds []string
	levels, rates := map[string]float64{}, map[string]float64{}
	casts, steepest := 0, 0.0
	for _, r := range all {
		if !slices.Contains(forms, r.form) {
			forms = append(forms, r.form)
			levels[r.form] = r.fresh
		}
		if !slices.Contains(kinds, r.kind) {
			kinds = append(kinds, r.kind)
			rates[r.kind] = r.rate
		}
		casts += len(r.unit.Ages)
		steepest = max(steepest, r.rate)
	}
	if casts < leastForPaths || steepest <= 0 {
		return nil, wander.Options{}, false
	}
	opt := wander.Options{Points: pathPoints, Priors: wander.Priors{Noise: wander.LogNormal{Median: 1, SDLog: noiseDoubt}}}
	for _, f := range forms {
		opt.LevelMeans = append(opt.LevelMeans, wander.Normal{Mean: -levels[f], SD: levelDoubt * math.Max(math.Abs(levels[f]), steepest)})
	}
	for _, k := range kinds {
		opt.DriftMeans = append(opt.DriftMeans, wander.Normal{Mean: rates[k], SD: rateDoubt * math.Max(rates[k], steepest/4)})
	}
	var units []wander.Unit
	for _, r := range all {
		u := r.unit
		u.Level, u.Drift = place(forms, r.form), place(kinds, r.kind)
		units = append(units, u)
	}
	return units, opt, true
}

// place is the row of a design with a column for each name.
func place(names []string, name string) []float64 {
	row := make([]float64, len(names))
	row[slices.Index(names, name)] = 1
	return row
}

const (
	leastForPaths = 12 // readings
	pathPoints    = 48
)
