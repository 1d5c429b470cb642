package plan

import (
	"math"
	"time"

	"moldwright/pipeline/stats/logistic"
	"moldwright/pipeline/tables"
)

// lab is a studio made by hand: every figure of the simulation is set.
type lab struct {
	days   int
	limit  int
	bad    float64 // chance of a reject of every cast
	draws  int
	forms  []shopForm
	jobs   []job
	molds  []*mold
	laws   []moldLaw
	making making
}

func everyDay() []time.Weekday {
	return []time.Weekday{time.Sunday, time.Monday, time.Tuesday, time.Wednesday, time.Thursday, time.Friday, time.Saturday}
}

// certain is a sample of lives that are all the same.
func certain(casts float64) []float64 { return []float64{casts} }

// add puts a mold into the lab.
func (l *lab) add(name string, form int, remaining []float64) {
	l.molds = append(l.molds, &mold{name: name, kind: kindSplit, form: form, index: -1})
	l.laws = append(l.laws, moldLaw{remaining: remaining, kept: 1, most: mostCasts})
}

func (l *lab) world() *world {
	w := &world{seed: 1, draws: l.draws, kinds: map[string]kindDraws{}}
	level := math.Inf(-1)
	if l.bad > 0 {
		level = math.Log(l.bad / (1 - l.bad))
	}
	for range l.draws {
		w.rejects.drawn = append(w.rejects.drawn, logistic.Drawn{Beta: []float64{level, 0}})
	}
	return w
}

const labStart = tables.Date(20000)

func (l *lab) scenario() scenario {
	sh := &shop{cal: newCalendar(labStart, labStart+tables.Date(l.days)-1, everyDay(), nil), limit: l.limit, forms: l.forms, jobs: l.jobs}
	if sh.limit == 0 {
		sh.limit = noLimit
	}
	sh = sh.unpaced(sh.limit)
	for f := range sh.forms {
		sh.forms[f].lost = l.bad
	}
	l.world().drawAll(l.molds, l.laws, l.making.pours)
	sc := scenario{shop: sh, rule: rule{kind: earliestDue}}
	for _, m := range l.molds {
		sc.molds = append(sc.molds, placed{mold: m, poured: -1, life: m.life})
	}
	return sc
}
