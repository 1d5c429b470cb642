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
	"slices"
	"sync"

	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/history"
	"moldwright/pipeline/life"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// Outlook is a forecast of remaining casts: rows, and beside each its ascending draws.
type Outlook struct {
	Remaining []tables.RemainingCasts
	Draws     [][]float64
}

// Refit fits and forecasts anew on a cut log. It may forecast remaining casts in
// several ways, as many each time.
type Refit func(log history.Log, studio tables.Studio) (wall.Answer, []Outlook)

// Run replays the history of a studio: one answer for each of so many ways to
// forecast remaining casts, at least one. They share what is said of walls.
func Run(log history.Log, studio tables.Studio, refit Refit, ways int, set Settings) []Answer {
	ans := Answer{WallFactor: 1, LifeFactor: 1, Origins: origins(log, set)}
	if len(ans.Origins) == 0 {
		ans.WhyNot = fmt.Sprintf("no past date has %d measured casts before it and more after it", set.LeastCasts)
		return repeated(ans, ways)
	}
	replays := fromAll(log, studio, ans.Origins, refit)
	for _, r := range replays {
		ans.Walls = append(ans.Walls, r.walls...)
	}
	ans.judgeWalls(set)
	out := repeated(ans, ways)
	for k := range out {
		a := &out[k]
		a.Rows = slices.Clone(ans.Rows)
		for _, r := range replays {
			if k < len(r.lives) {
				a.Lives = append(a.Lives, r.lives[k]...)
			}
		}
		if len(a.Walls)+len(a.Lives) == 0 {
			a.WhyNot = "at no past date could a forecast be made that the log can judge"
			continue
		}
		a.judgeLives(set)
		a.Notes = notes(*a, set)
	}
	return out
}

func repeated(a Answer, ways int) []Answer {
	out := make([]Answer, max(1, ways))
	for k := range out {
		out[k] = a
	}
	return out
}

// fromAll replays from every origin, on all cores.
func fromAll(log history.Log, studio tables.Studio, origins []tables.Date, refit Refit) []replay {
	replays, molds := make([]replay, len(origins)), listed(studio, log)
	var wg sync.WaitGroup
	next := make(chan int)
	for range min(runtime.GOMAXPROCS(0), len(replays)) {
		wg.Go(func() {
			for k := range next {
				until := log.AsOf
				if k+1 < len(origins) {
					until = origins[k+1]
				}
				replays[k] = replayFrom(log, studio, molds, origins[k], until, refit)
			}
		})
	}
	for k := range slices.Backward(replays) { // the longest first
		next <- k
	}
	close(next)
	wg.Wait()
	return replays
}

// replay is what was forecast from one origin.
type replay struct {
	walls []Wall
	lives [][]Life // by way
}

func replayFrom(log history.Log, studio tables.Studio, molds []tables.Mold, at, until tables.Date, refit Refit) replay {
	cut := knownOf(studio, log, molds, at)
	defer cut.Casts.Release()
	defer cut.Molds.Release()
	then, _ := history.Build(cut, at)
	walls, outlooks := refit(then, cut)
	now := map[string]history.Mold{}
	for _, m := range log.Molds {
		now[history.Fold(m.Mold)] = m
	}
	var r replay
	if walls.Posterior != nil {
		var wide widths
		for m, mold := range then.Molds {
			r.walls = append(r.walls, wallsOf(log, now[history.Fold(mold.Mold)], walls.Posterior, &wide, m, mold, then, until)...)
		}
	}
	mean := meanLives(then)
	for _, o := range outlooks {
		var lives []Life
		for i, f := range o.Remaining {
			if i >= len(o.Draws) {
				break
			}
			if l, ok := lifeOf(f, o.Draws[i], now[history.Fold(f.Mold)], at, mean[f.Kind]); ok {
				lives = append(lives, l)
			}
		}
		r.lives = append(r.lives, lives)
	}
	return r
}

// widths are how wide the intervals of each level are, of those of the widest, on
// the log scale: the same for all casts of a fit. They are found with the first.
type widths []float64

func (w *widths) of(p *wall.Posterior, o wall.Occasion) (f wall.Forecast, ok bool) {
	widest := levels()[len(levels())-1]
	if f, ok = p.Forecast(o, widest); !ok || *w != nil {
		return f, ok
	}
	full := math.Log(f.Upper / f.WallMM)
	for _, level := range levels() {
		at, _ := p.Forecast(o, level)
		*w = append(*w, math.Log(at.Upper/at.WallMM)/full)
	}
	return f, true
}

// wallsOf are forecasts of the casts that a mold made after the origin and up to
// a day, at their dwells and with their slips, which a maker knows beforehand.
func wallsOf(log history.Log, now history.Mold, p *wall.Posterior, wide *widths, m int, mold history.Mold, then history.Log, until tables.Date) []Wall {
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
		f, ok := wide.of(p, o)
		if !ok || o.Ahead < 0 {
			continue
		}
		w := Wall{Mold: mold.Mold, Origin: then.AsOf, Ahead: o.Ahead, ForecastMM: f.WallMM, MeasuredMM: c.WallMM, LastMM: last}
		half := math.Log(f.Upper / f.WallMM)
		for i, level := range levels() {
			lower, upper := f.WallMM*math.Exp(-half*(*wide)[i]), f.WallMM*math.Exp(half*(*wide)[i])
			w.held[i] = lower <= c.WallMM && c.WallMM <= upper
			switch level {
			case 0.8:
				w.low, w.high = lower, upper
			case 0.9:
				w.Lower, w.Upper = lower, upper
			}
		}
		out = append(out, w)
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
