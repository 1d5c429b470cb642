package watch

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/runlength"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// limits of the charts.
type limits struct {
	thin    float64
	thinRun float64

	wear     float64 // log of R; absent where there is no allowance for it
	wallsRun float64 // casts between false flags of walls, thin or worn, or more

	rejects   map[int]rejectLaw // by mold that is watched
	rejectRun float64

	healthy  float64 // standard deviation of a healthy mold's wear, in wears of its kind
	interval float64 // 95 % point of the normal law
}

// limitsOfPart sets the limits of molds on a part of the log; tracks and shifts
// are those of the part's molds.
func limitsOfPart(log history.Log, molds []int, p part, tracks []wall.Track, shifts *slipShifts, set Settings) (limits, error) {
	l := limits{thinRun: set.InControlRun / shareThin, rejectRun: set.InControlRun / shareRejects, interval: 1.6448536269514722}
	var err error
	if l.thin, err = runlength.Limit(set.Reference, l.thinRun); err != nil {
		return l, err
	}
	l.rejects = lawsOfRejects(log, molds, p.log, p.place, set.RejectRise, l.rejectRun)
	rejects := l.mostRejects(log)
	l.wallsRun = 1 / (1/set.InControlRun - rejects)
	// A healthy mold wears no more than FastWear times as fast as its kind, in 39
	// cases of 40.
	l.healthy = (set.FastWear - 1) / 1.959963984540054
	pair := runlength.Pair{Sizes: wearSizes(), Head: lookFirst, Bound: typingError, Reference: set.Reference, Limit: l.thin}
	limit, run := pair.SlopeLimit(rehearsals(p, tracks, shifts, l.healthy), 1/((1-keptBack)/set.InControlRun-rejects), set.RehearsedCasts)
	if math.IsInf(limit, 1) { // thin walls alone use the allowance up, or no kind wears
		l.wear, l.wallsRun, l.thinRun = tables.Absent(), math.Min(l.wallsRun, run), math.Min(l.thinRun, run)
		return l, nil
	}
	l.wear = math.Max(limit, math.Log(leastOdds*set.InControlRun))
	return l, nil
}

// leastOdds bounds the limit of wear from below where logs are short: if wear
// grows once in InControlRun casts, R/InControlRun is the odds that it did, and a
// mold is not flagged at less than one to two.
const leastOdds = 0.5

// mostRejects is the largest rate of false flags by rejects of any mold.
func (l limits) mostRejects(log history.Log) float64 {
	most := 0.0
	for m, law := range l.rejects {
		mold := log.Molds[m]
		if law.run > 0 && 1/law.run > most && slices.ContainsFunc(log.Casts[mold.First:mold.Last], func(c history.Cast) bool { return c.Result != history.NoResult }) {
			most = 1 / law.run
		}
	}
	return most
}

// rehearsals are the molds of the part with walls to be drawn.
func rehearsals(p part, tracks []wall.Track, shifts *slipShifts, healthy float64) []runlength.Series {
	var out []runlength.Series
	for i, t := range tracks {
		if len(t.Casts) == 0 {
			continue
		}
		taken := healthySpread(t, healthy)
		name := fnv.New64a()
		name.Write([]byte(p.log.Molds[i].Mold))
		out = append(out, runlength.Series{
			Obs: observations(t, shifts, p.of[i]), Taken: taken, True: doubted(taken, t.Doubt), Charted: wears(t),
			Source: rand.NewPCG(name.Sum64(), rehearsalStream),
		})
	}
	return out
}

// rehearsalStream sets these draws apart from those of other stages.
const rehearsalStream = 0x7761746368
