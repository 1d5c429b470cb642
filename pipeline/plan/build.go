package plan

import (
	"fmt"
	"math"

	"moldwright/pipeline/history"
	"moldwright/pipeline/life"
	"moldwright/pipeline/plaster"
	"moldwright/pipeline/tables"
)

// planner holds what the parts of an answer share.
type planner struct {
	in      Input
	set     Settings
	wanted  []wanted
	rhythm  rhythm
	making  making
	today   plaster.Today
	world   *world
	shop    *shop
	hand    []*mold
	jobOf   []int // by order; −1 where it is not planned
	rest    []figure
	slots   []figure
	fresh   map[freshKey]*freshMolds
	choices map[int][]choice // by form, once they are known
	look    life.Prospects   // with factors 1 and longerBy
	late    int              // draws that may be late so that the chance reaches the goal
}

// Bounds of a plan in days.
const (
	beyondDue    = 120 // days after the last due day in which late orders are followed
	longestPlan  = 730
	shortestPlan = 30
	mostCasts    = 512 // of one mold in a plan
)

func newPlanner(in Input, set Settings, seed uint64, asked []wanted, from tables.Date) *planner {
	p := &planner{in: in, set: set, wanted: asked, fresh: map[freshKey]*freshMolds{}, choices: map[int][]choice{}}
	p.rhythm = learnRhythm(in.Log, set.Rhythm)
	p.making = learnMaking(in, set.Making)
	p.today = plaster.PricesOn(in.Studio, from, plaster.Defaults())
	p.world = &world{seed: seed, draws: set.Draws, kinds: map[string]kindDraws{}}
	p.world.rejects = learnRejects(in.Log, set.Losses.SecondsCount, set.Draws, p.world.stream("rejects"))
	p.late = int(math.Floor((1-set.Goal)*float64(set.Draws) + 1e-9))
	p.build(from)
	return p
}

// build makes the shop, and the molds in hand with their draws.
func (p *planner) build(from tables.Date) {
	last := from
	for _, w := range p.wanted {
		if w.why == "" {
			last = max(last, w.due)
		}
	}
	until := min(max(last+beyondDue, from+shortestPlan), from+longestPlan)
	p.shop = &shop{cal: newCalendar(from, until, p.rhythm.week, p.set.Rhythm.DaysOff), limit: noLimit}
	if p.rhythm.limit.value >= 1 {
		p.shop.limit = int(p.rhythm.limit.value)
	}
	p.shop = p.shop.unpaced(p.shop.limit)
	if len(p.rhythm.pace.days) > 0 && len(p.shop.cal.days) > 0 {
		p.shop = p.shop.paced(p.rhythm.pace.draw(p.set.Draws, len(p.shop.cal.days), p.world.stream("pace")))
	}
	index := map[string]int{}
	for i, w := range p.wanted {
		p.jobOf = append(p.jobOf, -1)
		if w.why != "" {
			continue
		}
		f, seen := index[history.Fold(w.form)]
		if !seen {
			f = len(p.shop.forms)
			index[history.Fold(w.form)] = f
			slots, rest := p.rhythm.perDay(w.sheet, p.rhythm.log.dwell[history.Fold(w.form)])
			p.slots, p.rest = append(p.slots, slots), append(p.rest, rest)
			p.shop.forms = append(p.shop.forms, shopForm{name: w.form, slots: int(slots.value)})
		}
		p.jobOf[i] = len(p.shop.jobs)
		p.shop.jobs = append(p.shop.jobs, job{order: i, form: f, pieces: w.pieces, start: p.shop.cal.onOrAfter(max(w.start, from)), due: p.dueDay(w.due)})
	}
	p.takeMolds(index)
	p.expectLosses()
}

// dueDay is the last working day on which a piece can be cast in time.
func (p *planner) dueDay(due tables.Date) int {
	return p.shop.cal.onOrBefore(due - tables.Date(p.set.Losses.DaysAfterCasting))
}

// takeMolds draws the molds in hand of the forms wanted.
func (p *planner) takeMolds(index map[string]int) {
	fits := map[string]tables.LifeFit{}
	for _, f := range p.in.Life.Fits {
		fits[f.Kind] = f
	}
	byName := map[string]int{}
	for i, m := range p.in.Log.Molds {
		byName[m.Mold] = i
	}
	var laws []moldLaw
	for i, r := range p.in.Life.Remaining {
		f, ok := index[history.Fold(r.Form)]
		at, known := byName[r.Mold]
		if !ok || !known || i >= len(p.in.Life.Draws) || len(p.in.Life.Draws[i]) == 0 {
			continue
		}
		p.hand = append(p.hand, &mold{name: r.Mold, kind: r.Kind, form: f, index: at, age: int(r.AgeCasts)})
		laws = append(laws, moldLaw{remaining: p.in.Life.Draws[i], shared: sharedPart(fits[r.Kind], r.ChanceWorn), kept: p.kept(), most: p.mostOf(f)})
	}
	p.world.drawAll(p.hand, laws, p.making.pours)
}

// mostOf is more casts than a mold of the form can make in the plan or any of its
// alternatives.
func (p *planner) mostOf(form int) int {
	return max(1, min(mostCasts, (p.shop.forms[form].slots+1)*len(p.shop.cal.days)))
}

// kept is the share of pieces that come through the stages after casting.
func (p *planner) kept() float64 {
	share := 1.0
	for _, s := range []float64{p.set.Losses.Drying, p.set.Losses.Bisque, p.set.Losses.Glaze} {
		if s > 0 && s <= 1 {
			share *= s
		}
	}
	return share
}

// expectLosses sets the share of casts that give no piece, the mean over the
// form's molds, or of a new mold where there is none.
func (p *planner) expectLosses() {
	for f := range p.shop.forms {
		sum, n := 0.0, 0.0
		for _, m := range p.hand {
			if m.form == f {
				sum += p.world.rejects.expected(m)
				n++
			}
		}
		if n == 0 {
			sum, n = p.world.rejects.expected(&mold{index: -1}), 1
		}
		p.shop.forms[f].lost = 1 - (1-sum/n)*p.kept()
	}
}

// inHand is the scenario with the molds in hand.
func (p *planner) inHand() scenario {
	sc := scenario{shop: p.shop}
	for _, m := range p.hand {
		sc.molds = append(sc.molds, placed{mold: m, poured: -1, life: m.life})
	}
	return sc
}

// freshKey is a form of the shop and a kind of mold that could be made.
type freshKey struct {
	form int
	kind string
}

// freshMolds are molds that could be made, made up as they are thought of.
type freshMolds struct {
	remaining []float64
	molds     []*mold
}

// kindsFor are the kinds of mold that may be poured for a form: as set, or those
// that the form has had, with split beside a conventional one.
func (p *planner) kindsFor(form int) []string {
	if len(p.set.Making.Kinds) > 0 {
		return p.set.Making.Kinds
	}
	has, anywhere := map[string]bool{}, map[string]bool{}
	for _, m := range p.in.Log.Molds {
		anywhere[m.Kind] = true
		if history.Fold(m.Form) == history.Fold(p.shop.forms[form].name) {
			has[m.Kind] = true
		}
	}
	has[kindSplit] = true
	if !has[kindOnePiece] && !has[kindMultiPart] {
		has[kindMultiPart] = true
	}
	var out []string
	for _, k := range []string{kindSplit, kindOnePiece, kindMultiPart} {
		if has[k] {
			out = append(out, k)
		}
	}
	return out
}

// lookDraws are as many draws of a life as a sample for new molds needs.
const lookDraws = 1500

// prepare forecasts the lives of molds that could be made.
func (p *planner) prepare() error {
	var asked []life.NewMold
	var keys []freshKey
	for f := range p.shop.forms {
		for _, k := range p.kindsFor(f) {
			keys = append(keys, freshKey{f, k})
			asked = append(asked, life.NewMold{Form: p.shop.forms[f].name, Kind: k})
		}
	}
	var longer []float64
	if p.set.Compare && p.in.Wall.Posterior != nil {
		longer = []float64{1, longerBy}
	}
	look, err := p.lookAhead(longer, asked)
	if err != nil {
		return err
	}
	p.look = look
	for i, k := range keys {
		p.fresh[k] = &freshMolds{remaining: look.New[i]}
	}
	return nil
}

// lookAhead asks what the answer about lives learned, or learns it anew where it was
// put together by hand.
func (p *planner) lookAhead(longer []float64, asked []life.NewMold) (life.Prospects, error) {
	if look, ok, err := p.in.Life.Look(p.in.Wall, lookDraws, longer, asked); ok {
		return look, err
	}
	lives := p.in.Lives
	lives.Draws = min(lives.Draws, lookDraws)
	return life.Look(p.in.Log, p.in.Studio, p.in.Wall, lives, p.world.seed, longer, asked)
}

// news are the first n molds of a form and kind that could be made. The n-th is the
// same mold wherever it is asked for.
func (p *planner) news(key freshKey, n int) []*mold {
	fr := p.fresh[key]
	var molds []*mold
	var laws []moldLaw
	var fit tables.LifeFit
	for _, f := range p.in.Life.Fits {
		if f.Kind == key.kind {
			fit = f
		}
	}
	for i := len(fr.molds); i < n; i++ {
		molds = append(molds, &mold{name: fmt.Sprintf("new %s of %s %d", key.kind, p.shop.forms[key.form].name, i+1), kind: key.kind, form: key.form, index: -1})
		laws = append(laws, moldLaw{remaining: fr.remaining, shared: sharedPart(fit, 1), kept: p.kept(), most: p.mostOf(key.form), lead: p.making.lead, parts: p.making.pours.partsOf(key.kind), retries: p.making.retries})
	}
	p.world.drawAll(molds, laws, p.making.pours)
	fr.molds = append(fr.molds, molds...)
	return fr.molds[:n]
}
