package watch

import (
	"math"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/runlength"
)

// What is believed of rejects before a log is read (common practice, no source):
// about one piece in 25 is thrown away. It counts as a few dozen casts for the
// studio, and the studio's share as so many for a kind.
const (
	usualRejects   = 0.04
	studioPrior    = 25.0
	kindPrior      = 50.0
	leastReject    = 0.005
	mostReject     = 0.4
	mostNoticeable = 0.8
	rejectSteps    = 200.0 // the chance in control is known in so many steps
)

// rejectCounts are the casts with a logged result, by mold and by kind, those of
// a kind by age.
type rejectCounts struct {
	log    history.Log
	all    tally
	byKind map[string]*judgedKind
	own    []tally // by mold
}

// tally counts rejects among casts.
type tally struct{ casts, rejects int }

func (t tally) less(o tally) tally { return tally{t.casts - o.casts, t.rejects - o.rejects} }

// judgedKind are the casts of a kind with a result, youngest first.
type judgedKind struct {
	casts   []judged
	rejects []int         // among the first so many casts
	places  map[int][]int // by mold, where its casts stand
}

type judged struct {
	mold   int
	age    int
	reject bool
}

func countRejects(log history.Log) rejectCounts {
	r := rejectCounts{log: log, byKind: map[string]*judgedKind{}, own: make([]tally, len(log.Molds))}
	for _, c := range log.Casts {
		if c.Result == history.NoResult {
			continue
		}
		j := judged{int(c.Mold), int(c.Age), c.Result == history.Reject}
		kind := log.Molds[c.Mold].Kind
		if r.byKind[kind] == nil {
			r.byKind[kind] = &judgedKind{places: map[int][]int{}}
		}
		k := r.byKind[kind]
		k.casts = append(k.casts, j)
		for _, t := range []*tally{&r.all, &r.own[c.Mold]} {
			if t.casts++; j.reject {
				t.rejects++
			}
		}
	}
	for _, k := range r.byKind {
		slices.SortStableFunc(k.casts, func(a, b judged) int { return a.age - b.age })
		k.rejects = make([]int, len(k.casts)+1)
		for i, c := range k.casts {
			k.rejects[i+1] = k.rejects[i]
			if c.reject {
				k.rejects[i+1]++
			}
			k.places[c.mold] = append(k.places[c.mold], i)
		}
	}
	return r
}

// chanceOf is the share of rejects in control of mold m of a kind, −1 for one that
// is not in the log, by the other molds of its kind and of the studio. A healthy mold rejects more as it ages, so that it is
// that of the older half of their casts where that is higher: the chart then
// alarms falsely no more often than it says at any age. It is rounded up.
func (r rejectCounts) chanceOf(kind string, m int) float64 {
	var own tally
	if m >= 0 {
		own = r.own[m]
	}
	studio := share(r.all.less(own), usualRejects, studioPrior)
	all, older := r.byKind[kind].others(m)
	p := max(share(all, studio, kindPrior), share(older, studio, kindPrior))
	return min(max(math.Ceil(p*rejectSteps)/rejectSteps, leastReject), mostReject)
}

// others counts the casts of the other molds of a kind, and the older half of them.
func (k *judgedKind) others(m int) (all, older tally) {
	if k == nil {
		return tally{}, tally{}
	}
	places, n := k.places[m], len(k.casts)
	others := n - len(places)
	half := others / 2
	from := half // where the older half begins among all
	for _, at := range places {
		if at > from {
			break
		}
		from++
	}
	all = tally{others, k.rejects[n]}
	older = tally{others - half, k.rejects[n] - k.rejects[min(from, n)]}
	for _, at := range places {
		if k.casts[at].reject {
			all.rejects--
			if at >= from {
				older.rejects--
			}
		}
	}
	return all, older
}

// share is the share of rejects with a belief that counts as so many casts.
func share(t tally, believed, weight float64) float64 {
	return (float64(t.rejects) + believed*weight) / (float64(t.casts) + weight)
}

// rejectLaw is the chart of rejects for a chance in control.
type rejectLaw struct {
	chart runlength.Bernoulli
	limit int
	run   float64 // casts between false alarms; 0 where there is no chart
}

// lawsOfRejects sets up the charts of molds, by mold: the smallest limit that
// keeps false alarms at inControl casts or more apart. The usual shares are those
// of a part of the log, whose place of a mold is in, −1 where it is not there.
func lawsOfRejects(log history.Log, molds []int, part history.Log, in func(m int) int, rise, inControl float64) map[int]rejectLaw {
	counts := countRejects(part)
	known := map[float64]rejectLaw{} // molds share a few chances
	out := map[int]rejectLaw{}
	for _, m := range molds {
		p0 := counts.chanceOf(log.Molds[m].Kind, in(m))
		law, ok := known[p0]
		if !ok {
			law = lawOfRejects(p0, rise, inControl)
			known[p0] = law
		}
		out[m] = law
	}
	return out
}

// lawOfRejects has no chart where the limit is out of reach.
func lawOfRejects(p0, rise, inControl float64) rejectLaw {
	chart, err := runlength.NewBernoulli(p0, min(rise*p0, max(mostNoticeable, (1+p0)/2)))
	if err != nil {
		return rejectLaw{}
	}
	limit, run, err := chart.Limit(inControl)
	if err != nil {
		return rejectLaw{}
	}
	return rejectLaw{chart, limit, run}
}

// follow fills in the chart of rejects of a mold.
func (l rejectLaw) follow(c *Chart, casts []history.Cast) {
	if l.run == 0 {
		return
	}
	sum := 0
	for _, cast := range casts {
		if cast.Result == history.NoResult {
			continue
		}
		// A sum at its limit starts no higher than there, so that good pieces
		// bring it back as fast as they should.
		sum = min(l.chart.Step(sum, cast.Result == history.Reject), l.limit+l.chart.Up)
		c.RejectAge = append(c.RejectAge, float64(cast.Age))
		c.Rejects = append(c.Rejects, float64(sum))
	}
	if len(c.Rejects) > 0 {
		c.RejectLimit = float64(l.limit)
	}
}
