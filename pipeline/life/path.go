package life

import (
	"math"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/wander"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// reader turns what the walls of a log say of its molds into readings of their
// ways to the limit.
type reader struct {
	log    history.Log
	limits map[string]limit
	walls  *wall.Posterior // nil where walls were not fitted
}

// of is what draws paths of mold m of the log, its forecast still wanting; nil where
// nothing is known of its path.
func (r *reader) of(m int) *drawer {
	mold := r.log.Molds[m]
	lim, ok := r.limits[history.Fold(mold.Form)]
	if !ok || r.walls == nil {
		return nil
	}
	d := &drawer{age: float64(mold.Age), casts: measured(r.log, mold), lim: lim}
	if a, ok := r.walls.Approach(m); ok {
		d.readings = readingsOf(a, mold, lim)
	} else if d.joint, ok = r.walls.RestedDrawer(m); !ok {
		return nil
	}
	return d
}

// paths are the ways of all molds of a log to their limits. A path is minus the
// margin that a mold has left (see wall.Course): it starts below 0, climbs with
// each cast, and the mold is too slow where it is above 0. What molds share is
// learned from those of a sub-log.
type paths struct {
	reader
	kept      map[int]*drawer // of the molds that were learned from
	habits    habits
	wear      wear
	model     *wander.Model // of the paths of this log; nil where they could not be fitted
	shape     design
	wandering bool
}

// ground is what paths are fitted to, whatever their course.
type ground struct {
	reader
	learn   []int     // molds that are learned from
	drawers []*drawer // of them; nil without a path
	all     []*readings
	shape   design
	units   []wander.Unit
	opt     wander.Options
	enough  bool // whether there are enough readings to fit
}

func groundOf(log history.Log, studio tables.Studio, walls wall.Answer, set Settings) *ground {
	g := &ground{reader: reader{log: log, limits: limitsOf(studio), walls: walls.Posterior}, learn: learners(log, set)}
	g.drawers = make([]*drawer, len(g.learn))
	for i, m := range g.learn {
		d := g.of(m)
		if g.drawers[i] = d; d != nil && d.readings != nil {
			g.all = append(g.all, d.readings)
		}
	}
	g.shape, g.units, g.opt, g.enough = problemOf(g.all)
	return g
}

// learners are the molds that tell what all of them share.
func learners(log history.Log, set Settings) []int {
	if set.LearnCasts <= 0 {
		set.LearnCasts = Defaults().LearnCasts
	}
	_, of := log.Learning(set.LearnCasts)
	return of
}

// model of the ground's paths with a course; nil where they cannot be fitted.
func (g *ground) model(course wander.Course) *wander.Model {
	if !g.enough {
		return nil
	}
	opt := g.opt
	opt.Course = course
	m, err := wander.Fit(g.units, opt)
	if err != nil {
		return nil // the wall model's own straight paths serve
	}
	return m
}

// paths by a model of them: what is known of the wear of each kind, and of how
// strictly the studio goes by its limits.
func (g *ground) paths(model *wander.Model, wandering bool, seed uint64) *paths {
	p := &paths{reader: g.reader, kept: make(map[int]*drawer, len(g.learn)), model: model, shape: g.shape, wandering: wandering && model != nil}
	if model != nil {
		var factors []seenWear
		for i, r := range g.all {
			factors = append(factors, r.seenWear(model, i))
		}
		p.wear = learnWear(factors)
	}
	unit := 0
	var seen []witness
	for i, m := range g.learn {
		d := g.drawers[i]
		if d != nil && d.readings != nil {
			d = p.ready(m, *d, unit)
			unit++
		}
		p.kept[m] = d
		if mold := g.log.Molds[m]; d != nil && mold.Age > mold.BeforeLog {
			seen = append(seen, d.witness(mold, generator(seed, "habit "+mold.Mold)))
		}
	}
	if g.walls != nil {
		p.habits = learnHabits(seen)
	}
	return p
}

// ready forecasts a mold's path from its readings: those of a unit of the fit, or,
// at outside, by what the units of the fit tell.
func (p *paths) ready(m int, d drawer, unit int) *drawer {
	r := d.readings
	switch {
	case p.model == nil:
		return straightDrawer(p.walls, m, &d)
	case unit != outside:
		f := p.model.ForecastAs(unit, p.wear.drifts(r.kind, r.rate))
		d.forecast = &f
		return &d
	case !slices.Contains(p.shape.forms, r.form) || !slices.Contains(p.shape.kinds, r.kind):
		return straightDrawer(p.walls, m, &d)
	}
	u := r.unit
	u.Level, u.Drift = place(p.shape.forms, r.form), place(p.shape.kinds, r.kind)
	f, err := p.model.ForecastUnitAs(u, p.wear.drifts(r.kind, r.rate))
	if err != nil {
		return straightDrawer(p.walls, m, &d)
	}
	d.forecast = &f
	return &d
}

// outside is the unit of a mold that was not learned from.
const outside = -1

// drawer draws the paths of mold m of the log; nil where nothing is known of them.
func (p *paths) drawer(m int) *drawer {
	if d, ok := p.kept[m]; ok {
		return d
	}
	d := p.of(m)
	if d == nil || d.readings == nil {
		return d
	}
	return p.ready(m, *d, outside)
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
	read := make([]float64, 3*len(a.Casts))
	u := &r.unit
	u.Ages, u.Values, u.Weights = read[:0:len(a.Casts)], read[len(a.Casts):len(a.Casts):2*len(a.Casts)], read[2*len(a.Casts):2*len(a.Casts)]
	for i := range a.Casts {
		c := &a.Casts[i]
		g := c.Gain()
		if g == 0 && n > 0 {
			g = usual / n // a new mold's first cast: like its others
		}
		if g == 0 {
			continue
		}
		u.Ages = append(u.Ages, float64(c.Age))
		u.Values = append(u.Values, c.Y/g+perCast*float64(c.Age)-r.fresh)
		u.Weights = append(u.Weights, g*g*math.Max(c.Trust, leastTrust)/c.Variance)
	}
	return r
}

// leastTrust bounds the weight of a mistyped wall.
const leastTrust = 1e-4

// Beliefs about paths before their readings are seen, common practice, no source.
// The wall model, which saw the same walls, gives the middles only; they are held
// loosely.
const (
	noiseDoubt = 0.3 // SD of the log of a reading's noise against the wall model's
	levelDoubt = 1.0 // SD of a form's level, in margins of a new mold
	rateDoubt  = 0.3 // SD of a kind's wear, in wears
)

// design has a mean level for each form and a mean drift for each kind.
type design struct {
	forms, kinds []string
	rates        map[string]float64 // loss of margin per cast, by kind
}

// unseen is a forecast of a new mold's path; not ok where the paths tell nothing of
// its form or kind.
func (p *paths) unseen(form, kind string) (f wander.Forecast, ok bool) {
	form = history.Fold(form)
	if p.model == nil || !slices.Contains(p.shape.forms, form) || !slices.Contains(p.shape.kinds, kind) {
		return f, false
	}
	return p.model.ForecastNewAs(place(p.shape.forms, form), place(p.shape.kinds, kind), p.wear.drifts(kind, p.shape.rates[kind])), true
}

// problemOf states the paths as units of a fit.
func problemOf(all []*readings) (design, []wander.Unit, wander.Options, bool) {
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
		return design{}, nil, wander.Options{}, false
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
	return design{forms, kinds, rates}, units, opt, true
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
