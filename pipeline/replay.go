package pipeline

import (
	"fmt"
	"math"

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
// each date. A large log is replayed on some of its molds.
func replay(log history.Log, studio tables.Studio, set Settings) (hindcast.Answer, life.Path, string) {
	courses := []life.Path{life.PathByData, life.PathStraight, life.PathWandering}
	if set.Life.Path != life.PathByData {
		courses = []life.Path{set.Life.Path}
	}
	lives := set.Life
	lives.Draws = min(lives.Draws, set.Hindcast.Draws)
	some := hindcast.Sample(log, set.Hindcast.LearnCasts)
	all := hindcast.Run(some, studio, func(log history.Log, studio tables.Studio) (wall.Answer, []hindcast.Outlook) {
		w := wall.Quick(log, studio, set.Wall)
		known, err := life.Learn(log, studio, w, lives, set.Seed)
		if err != nil {
			return w, nil
		}
		return w, outlooks(known, courses)
	}, len(courses), set.Hindcast)
	for i := range all {
		all[i].Notes = append(all[i].Notes, learnedFrom(some, log)...)
	}
	if set.Life.Path != life.PathByData {
		return all[0], set.Life.Path, set.Life.PathWhy
	}
	c := hindcast.Compare(all[1], all[2])
	if c.Forecasts == 0 {
		return all[0], life.PathByData, ""
	}
	switch c.Verdict() {
	case hindcast.FirstBetter:
		return all[1], life.PathStraight, came("straight", "wandering", c)
	case hindcast.SecondBetter:
		return all[2], life.PathWandering, came("wandering", "straight", c)
	}
	return all[0], life.PathByData, fmt.Sprintf(
		"Straight and wandering paths were both tried on past dates of this log: over %d decided forecasts of %d molds their losses differ no more than by chance, so the walls alone decide between them, by AICc.", c.Forecasts, c.Molds)
}

// outlooks are the forecasts with each course of paths. By the data they are those of
// one of the other two.
func outlooks(known *life.Known, courses []life.Path) []hindcast.Outlook {
	made := map[life.Path]hindcast.Outlook{}
	out := make([]hindcast.Outlook, len(courses))
	for i, course := range courses {
		course = known.Course(course)
		o, ok := made[course]
		if !ok {
			o.Remaining, o.Draws = known.Remaining(course)
			made[course] = o
		}
		out[i] = o
	}
	return out
}

// learnedFrom says on what share of a large log it was replayed.
func learnedFrom(some, log history.Log) []string {
	if len(some.Casts) == len(log.Casts) {
		return nil
	}
	return []string{fmt.Sprintf("Earlier forecasts were replayed on %d of the %d casts, those of %d whole molds of the last few lives of a mold, chosen by their names as if by lot.", len(some.Casts), len(log.Casts), len(some.Molds))}
}

func came(chosen, other string, c hindcast.Comparison) string {
	return fmt.Sprintf("Paths are %s because forecasts of remaining casts with them came nearer the truth on past dates of this log: over %d decided forecasts of %d molds their mean loss is %.2f casts (standard error %.2f) below that of %s paths.",
		chosen, c.Forecasts, c.Molds, math.Abs(c.Gain), c.StdError, other)
}
