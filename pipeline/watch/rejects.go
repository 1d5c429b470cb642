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
	byKind map[string][]judged
	all    []judged
}

func countRejects(log history.Log) rejectCounts {
	r := rejectCounts{log: log, byKind: map[string][]judged{}}
	for _, c := range log.Casts {
		if c.Result == history.NoResult {
			continue
		}
		j := judged{int(c.Mold), int(c.Age), c.Result == history.Reject}
		kind := log.Molds[c.Mold].Kind
		r.all = append(r.all, j)
		r.byKind[kind] = append(r.byKind[kind], j)
	}
	for _, casts := range r.byKind {
		slices.SortStableFunc(casts, func(a, b judged) int { return a.age - b.age })
	}
	return r
}

// chance is the share of rejects in control of mold m, by the other molds of its
// kind and of the studio. A healthy mold rejects more as it ages, so that it is
// that of the older half of their casts where that is higher: the chart then
// alarms falsely no more often than it says at any age. It is rounded up.
func (r rejectCounts) chance(m int) float64 {
	others := func(casts []judged) []judged {
		return slices.DeleteFunc(slices.Clone(casts), func(j judged) bool { return j.mold == m })
	}
	studio := share(others(r.all), usualRejects, studioPrior)
	casts := others(r.byKind[r.log.Molds[m].Kind])
	p := max(share(casts, studio, kindPrior), share(casts[len(casts)/2:], studio, kindPrior))
	return min(max(math.Ceil(p*rejectSteps)/rejectSteps, leastReject), mostReject)
}

type judged struct {
	mold   int
	age    int
	reject bool
}

// share is the share of rejects with a belief that counts as so many casts.
func share(casts []judged, believed, weight float64) float64 {
	rejects := 0.0
	for _, c := range casts {
		if c.reject {
			rejects++
		}
	}
	return (rejects + believed*weight) / (float64(len(casts)) + weight)
}

// rejectLaw is the chart of rejects for a chance in control.
type rejectLaw struct {
	chart runlength.Bernoulli
	limit int
	run   float64 // casts between false alarms; 0 where there is no chart
}

// lawsOfRejects sets up the charts by mold: the smallest limit that keeps false
// alarms at inControl casts or more apart.
func lawsOfRejects(log history.Log, rise, inControl float64) []rejectLaw {
	counts := countRejects(log)
	known := map[float64]rejectLaw{} // molds share a few chances
	out := make([]rejectLaw, len(log.Molds))
	for m := range log.Molds {
		p0 := counts.chance(m)
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
