package pipeline

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"

	"moldwright/pipeline/advice"
	"moldwright/pipeline/history"
	"moldwright/pipeline/ingest"
	"moldwright/pipeline/life"
	"moldwright/pipeline/plan"
	"moldwright/pipeline/plaster"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
	"moldwright/pipeline/watch"
)

// Run reads the sources and answers. It returns an *ingest.NothingUsableError
// where no row can be used. Progress is told each stage as it begins; it may be nil.
func Run(ctx context.Context, sources []ingest.Source, set Settings, progress func(what string)) (Result, error) {
	if progress == nil {
		progress = func(string) {}
	}
	res := Result{Settings: set, Cautions: Cautions()}
	clock := stopwatch{result: &res, progress: progress}

	clock.start("reading")
	read, err := ingest.Read(ctx, sources, ingest.Options{Progress: progress, DateOrder: set.DateOrder, Mapping: set.Mapping})
	if err != nil {
		return Result{}, fmt.Errorf("read the spreadsheets: %w", err)
	}
	if err := read.Reading.NothingUsable(); err != nil {
		return Result{}, err
	}
	res.Reading, res.Studio, res.Problems = read.Reading, read.Studio, read.Problems
	return res, answer(ctx, &res, clock)
}

// answer runs the stages on what was read.
func answer(ctx context.Context, res *Result, clock stopwatch) error {
	set := res.Settings
	set.Plaster.Seed = set.Seed
	stages := []struct {
		name string
		run  func()
	}{
		{"putting casts in order", func() {
			var problems []tables.Problem
			res.Log, problems = history.Build(res.Studio, set.AsOf)
			res.Problems = append(res.Problems, problems...)
		}},
		{"fitting walls", func() { res.Wall = wall.Run(res.Log, res.Studio, set.Wall) }},
		{"replaying earlier forecasts", func() { res.Hindcast, set.Life.Path, set.Life.PathWhy = replay(res.Log, res.Studio, set) }},
		{"forecasting remaining casts", func() {
			res.Life = life.Run(res.Log, res.Studio, res.Wall, set.Life, set.Seed)
			res.Wall, res.Life = res.Hindcast.Rescale(res.Wall, res.Life)
		}},
		{"watching for early wear", func() { res.Watch = watch.Run(res.Log, res.Wall, res.Life.Remaining, set.Watch) }},
		{"balancing plaster", func() {
			res.Plaster = plaster.Run(res.Studio, res.Log, set.Plaster, res.Log.AsOf)
			res.Plaster.MoldCosts = plaster.WithLives(res.Plaster.MoldCosts, res.Log, res.Life.Remaining)
		}},
		{"planning runs", func() {
			in := plan.Input{Studio: res.Studio, Log: res.Log, Wall: res.Wall, Life: res.Life, Plaster: res.Plaster, Lives: set.Life}
			res.Plan = plan.Run(in, set.Plan, set.Seed)
		}},
		{"writing advice", func() {
			in := advice.Input{Studio: res.Studio, Log: res.Log, Wall: res.Wall, Life: res.Life, Watch: res.Watch, Plaster: res.Plaster, Plan: res.Plan, Units: set.Units, Days: set.Days, Goal: set.Plan.Goal}
			res.Advice, res.NotGiven = advice.Items(in), advice.NotGiven(in)
		}},
	}
	for _, s := range stages {
		if err := ctx.Err(); err != nil {
			return err
		}
		clock.start(s.name)
		s.run()
	}
	clock.stop()
	res.Problems = append(res.Problems, res.Wall.Problems...)
	res.Problems = append(res.Problems, res.Plaster.Problems...)
	sortProblems(res.Problems)
	return nil
}

// sortProblems orders by file, sheet and cell, rows as numbers, so that one can
// go down a sheet with the list in hand.
func sortProblems(problems []tables.Problem) {
	slices.SortStableFunc(problems, func(a, b tables.Problem) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Sheet, b.Sheet), cmp.Compare(rowOf(a.Cell), rowOf(b.Cell)),
			cmp.Compare(a.Cell, b.Cell), cmp.Compare(a.Code, b.Code))
	})
}

// rowOf is the row number in a cell's name: 12 for "F12" or "12".
func rowOf(cell string) int {
	n := 0
	for _, r := range cell {
		if r >= '0' && r <= '9' {
			n = n*10 + int(r-'0')
		}
	}
	return n
}

// stopwatch times the stages of a run.
type stopwatch struct {
	result   *Result
	progress func(string)
}

func (s stopwatch) start(stage string) {
	s.stop()
	s.progress(stage)
	s.result.Stages = append(s.result.Stages, StageTime{Stage: stage, Seconds: -float64(time.Now().UnixNano()) / 1e9})
}

// stop ends the stage that runs; it does nothing where none does.
func (s stopwatch) stop() {
	if n := len(s.result.Stages); n > 0 && s.result.Stages[n-1].Seconds < 0 {
		s.result.Stages[n-1].Seconds += float64(time.Now().UnixNano()) / 1e9
	}
}
