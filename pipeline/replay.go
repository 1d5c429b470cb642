package pipeline

import (
	"fmt"
	"math"
	"sync"

	"moldwright/pipeline/hindcast"
	"moldwright/pipeline/history"
	"moldwright/pipeline/life"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// replay forecasts from past dates of the log. Where the settings leave the choice
// of the path to the data, it does so with straight and with wandering paths, and
// gives the replay of those that came nearer the truth, with the reason; where no
// more than chance is between the two, that of the paths that the walls chose at
// each date.
func replay(log history.Log, studio tables.Studio, set Settings) (hindcast.Answer, life.Path, string) {
	walls := fits{set: set, of: map[tables.Date]wall.Answer{}}
	with := func(path life.Path) hindcast.Answer {
		lives := set.Life
		lives.Draws, lives.Path = min(lives.Draws, set.Hindcast.Draws), path
		return hindcast.Run(log, studio, func(log history.Log, studio tables.Studio) (wall.Answer, life.Answer) {
			w := walls.at(log, studio)
			return w, life.Run(log, studio, w, lives, set.Seed)
		}, set.Hindcast)
	}
	if set.Life.Path != life.PathByData {
		return with(set.Life.Path), set.Life.Path, set.Life.PathWhy
	}
	straight, wandering := with(life.PathStraight), with(life.PathWandering)
	if len(straight.Lives) == 0 {
		return with(life.PathByData), life.PathByData, ""
	}
	c := hindcast.Compare(straight, wandering)
	if c.Forecasts == 0 {
		return with(life.PathByData), life.PathByData, ""
	}
	switch c.Verdict() {
	case hindcast.FirstBetter:
		return straight, life.PathStraight, came("straight", "wandering", c)
	case hindcast.SecondBetter:
		return wandering, life.PathWandering, came("wandering", "straight", c)
	}
	return with(life.PathByData), life.PathByData, fmt.Sprintf(
		"Straight and wandering paths were both tried on past dates of this log: over %d decided forecasts of %d molds their losses differ no more than by chance, so the walls alone decide between them, by AICc.", c.Forecasts, c.Molds)
}

func came(chosen, other string, c hindcast.Comparison) string {
	return fmt.Sprintf("Paths are %s because forecasts of remaining casts with them came nearer the truth on past dates of this log: over %d decided forecasts of %d molds their mean loss is %.2f casts (standard error %.2f) below that of %s paths.",
		chosen, c.Forecasts, c.Molds, math.Abs(c.Gain), c.StdError, other)
}

// fits keeps the wall fit of each past date, which does not depend on the path.
type fits struct {
	set Settings
	mu  sync.Mutex
	of  map[tables.Date]wall.Answer
}

func (f *fits) at(log history.Log, studio tables.Studio) wall.Answer {
	f.mu.Lock()
	w, ok := f.of[log.AsOf]
	f.mu.Unlock()
	if ok {
		return w
	}
	w = wall.Run(log, studio, f.set.Wall)
	f.mu.Lock()
	f.of[log.AsOf] = w
	f.mu.Unlock()
	return w
}
