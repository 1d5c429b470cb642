// Package hindcast asks whether earlier forecasts came true. It goes back to past
// dates of the studio's own log, fits on what was known then, forecasts each
// mold's next walls and remaining casts, and counts how often the intervals held
// what came. Where the count is off, and large enough to tell, today's intervals
// are rescaled.
package hindcast

import (
	"fmt"
	"math"
	"runtime"
	"sync"

	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/history"
	"moldwright/pipeline/life"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// Refit fits and forecasts anew on a cut log.
type Refit func(log history.Log, studio tables.Studio) (wall.Answer, life.Answer)

// Run replays the history of a studio.
func Run(log history.Log, studio tables.Studio, refit Refit, set Settings) Answer {
	ans := Answer{WallFactor: 1, LifeFactor: 1, Origins: origins(log, set)}
	if len(ans.Origins) == 0 {
		ans.WhyNot = fmt.Sprintf("no past date has %d measured casts before it and more after it", set.LeastCasts)
		return ans
	}
	replays := make([]replay, len(ans.Origins))
	var wg sync.WaitGroup
	next := make(chan int)
	for range min(runtime.GOMAXPROCS(0), len(replays)) {
		wg.Go(func() {
			for k := range next {
				until := log.AsOf
				if k+1 < len(ans.Origins) {
					until = ans.Origins[k+1]
				}
				replays[k] = replayFrom(log, studio, ans.Origins[k], until, refit)
			}
		})
	}
	for k := range replays {
		next <- k
	}
	close(next)
	wg.Wait()
	for _, r := range replays {
		ans.Walls = append(ans.Walls, r.walls...)
		ans.Lives = append(ans.Lives, r.lives...)
	}
	if len(ans.Walls)+len(ans.Lives) == 0 {
		ans.WhyNot = "at no past date could a forecast be made that the log can judge"
		return ans
	}
	ans.judgeWalls(set)
	ans.judgeLives(set)
	ans.Notes = notes(ans, set)
	return ans
}

// replay is what was forecast from one origin.
type replay struct {
	walls []Wall
	lives []Life
}

func replayFrom(log history.Log, studio tables.Studio, at, until tables.Date, refit Refit) replay {
	cut := known(studio, log, at)
	defer cut.Casts.Release()
	defer cut.Molds.Release()
	then, _ := history.Build(cut, at)
	walls, lives := refit(then, cut)
	now := map[string]history.Mold{}
	for _, m := range log.Molds {
		now[history.Fold(m.Mold)] = m
	}
	var r replay
	if walls.Posterior != nil {
		for m, mold := range then.Molds {
			r.walls = append(r.walls, wallsOf(log, now[history.Fold(mold.Mold)], walls.Posterior, m, mold, then, until)...)
		}
	}
	mean := meanLives(then)
	for i, f := range lives.Remaining {
		if i >= len(lives.Draws) {
			break
		}
		if l, ok := lifeOf(f, lives.Draws[i], now[history.Fold(f.Mold)], at, mean[f.Kind]); ok {
			r.lives = append(r.lives, l)
		}
	}
	return r
}

// wallsOf are forecasts of the casts that a mold made after the origin and up to
// a day, at their dwells and with their slips, which a maker knows beforehand.
func wallsOf(log history.Log, now history.Mold, p *wall.Posterior, m int, mold history.Mold, then history.Log, until tables.Date) []Wall {
	last := tables.Absent()
	for _, c := range then.Casts[mold.First:mold.Last] {
		if c.WallMM > 0 {
			last = c.WallMM
		}
	}
	var out []Wall
	for _, c := range log.Casts[now.First:now.Last] {
		if c.Date <= then.AsOf || c.Date > until || !(c.WallMM > 0) || !(c.DwellMin > 0) {
			continue
		}
		o := wall.Occasion{Mold: m, DwellMin: c.DwellMin, Date: c.Date, TimeMin: c.Minute(), Slip: log.Slip(c), Ahead: int(c.Age) - mold.Age}
		w := Wall{Mold: mold.Mold, Origin: then.AsOf, Ahead: o.Ahead, MeasuredMM: c.WallMM, LastMM: last, held: map[int]bool{}}
		ok := o.Ahead >= 0
		for i, level := range levels() {
			f, can := p.Forecast(o, level)
			ok = ok && can
			w.ForecastMM = f.WallMM
			w.held[i] = f.Lower <= c.WallMM && c.WallMM <= f.Upper
			switch level {
			case 0.8:
				w.low, w.high = f.Lower, f.Upper
			case 0.9:
				w.Lower, w.Upper = f.Lower, f.Upper
			}
		}
		if ok {
			out = append(out, w)
		}
	}
	return out
}

// meanLives are the rival's: the mean age at which molds of a kind ended by then,
// by the log; common practice (no source) where none had: 35 casts for split
// molds, 100 for conventional ones, 60 where the kind is unknown.
func meanLives(then history.Log) map[string]float64 {
	sum, n := map[string]float64{}, map[string]float64{}
	out := map[string]float64{}
	for _, m := range then.Molds {
		out[m.Kind] = 60
		if !m.InUse() {
			sum[m.Kind] += float64(m.Age)
			n[m.Kind]++
		}
	}
	for kind := range out {
		switch {
		case n[kind] > 0:
			out[kind] = sum[kind] / n[kind]
		case kind == "split":
			out[kind] = 35
		case kind == "one-piece" || kind == "multi-part":
			out[kind] = 100
		}
	}
	return out
}

// lifeOf sets a forecast of remaining casts, with its ascending draws, beside what
// came. A mold retired for a reason that says nothing of its wear ("other") counts
// as still in use then.
func lifeOf(f tables.RemainingCasts, draws []float64, now history.Mold, at tables.Date, mean float64) (Life, bool) {
	came := float64(now.Age) - float64(f.AgeCasts)
	if len(draws) == 0 || now.Mold == "" || came < 0 {
		return Life{}, false
	}
	out := Life{
		Mold: f.Mold, Origin: at, AgeCasts: int(f.AgeCasts), P10: life.Point(draws, 0.1), P50: life.Point(draws, 0.5), P90: life.Point(draws, 0.9),
		Came: came, Ended: !now.InUse() && now.EndReason != "other", Rival: math.Max(0, mean-float64(f.AgeCasts)),
	}
	out.u = placeOf(draws, out)
	return out, true
}

// normalPoint is the point of the normal law below which a central interval of a
// level ends.
func normalPoint(level float64) float64 { return distuv.UnitNormal.Quantile(0.5 + level/2) }
