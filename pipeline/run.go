package pipeline

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
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
	for i := range res.Problems { // what a cell held is a piece of its file, which would stay whole in memory for it
		res.Problems[i].Value = strings.Clone(res.Problems[i].Value)
	}
	// No answer rests on these, and the texts among them are a fifth of a large log.
	res.Studio.Casts.GiveUp("cast", "fault", "note", "demold", "room_temperature", "room_humidity")
	return res, answer(ctx, &res, clock)
}

// answer runs the stages on what was read.
func answer(ctx context.Context, res *Result, clock stopwatch) error {
	set := res.Settings
	set.Plaster.Seed = set.Seed
	var plasters, watching *ahead
	stages := []struct {
		name string
		run  func()
		wait func() *ahead // where it was begun before
	}{
		{name: "putting casts in order", run: func() {
			var problems []tables.Problem
			res.Log, problems = history.Build(res.Studio, set.AsOf)
			res.Problems = append(res.Problems, problems...)
			// What plaster was wasted does not depend on walls.
			plasters = begin(func() { res.Plaster = plaster.Run(res.Studio, res.Log, set.Plaster, res.Log.AsOf) })
		}},
		{name: "fitting walls", run: func() { res.Wall = wall.Run(res.Log, res.Studio, set.Wall) }},
		{name: "replaying earlier forecasts", run: func() { res.Hindcast, set.Life.Path, set.Life.PathWhy = replay(res.Log, res.Studio, set) }},
		{name: "forecasting remaining casts", run: func() {
			res.Life = life.Run(res.Log, res.Studio, res.Wall, set.Life, set.Seed)
			res.Wall, res.Life = res.Hindcast.Rescale(res.Wall, res.Life)
			walls, left := res.Wall, res.Life.Remaining
			watching = begin(func() { res.Watch = watch.Run(res.Log, walls, left, set.Watch) })
		}},
		{name: "balancing plaster", wait: func() *ahead { return plasters }, run: func() {
			res.Plaster.MoldCosts = plaster.WithLives(res.Plaster.MoldCosts, res.Log, res.Life.Remaining)
		}},
		{name: "planning runs", run: func() {
			// From here on the casts are asked for in the log, their places and readings alone in the table.
			res.Studio.Casts.GiveUp("date", "time", "mold", "slip", "dwell", "wall_basis", "mold_mass", "result", "age", "form")
			in := plan.Input{Studio: res.Studio, Log: res.Log, Wall: res.Wall, Life: res.Life, Plaster: res.Plaster, Lives: set.Life}
			res.Plan = plan.Run(in, set.Plan, set.Seed)
		}},
		{name: "watching for early wear", wait: func() *ahead { return watching }},
		{name: "writing advice", run: func() {
			in := advice.Input{Studio: res.Studio, Log: res.Log, Wall: res.Wall, Life: res.Life, Watch: res.Watch, Plaster: res.Plaster, Plan: res.Plan, Units: set.Units, Days: set.Days, Goal: set.Plan.Goal}
			res.Advice, res.NotGiven = advice.Items(in), advice.NotGiven(in)
		}},
	}
	// Nothing may still write into the result when this returns.
	defer func() { plasters.wait(); watching.wait() }()
	for _, s := range stages {
		if err := ctx.Err(); err != nil {
			return err
		}
		clock.start(s.name)
		if s.wait != nil {
			clock.extra(s.wait().wait())
		}
		if s.run != nil {
			s.run()
		}
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

// ahead is work that runs beside the stages before it is needed.
type ahead struct {
	done    chan struct{}
	seconds float64
}

func begin(work func()) *ahead {
	a := &ahead{done: make(chan struct{})}
	go func() {
		defer close(a.done)
		from := time.Now()
		work()
		a.seconds = time.Since(from).Seconds()
	}()
	return a
}

// wait waits for the work's end, if it was begun, and returns how many seconds of
// it passed while others ran.
func (a *ahead) wait() float64 {
	if a == nil {
		return 0
	}
	from := time.Now()
	<-a.done
	return max(0, a.seconds-time.Since(from).Seconds())
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

// extra adds seconds that a stage took before it was its turn.
func (s stopwatch) extra(seconds float64) {
	s.result.Stages[len(s.result.Stages)-1].Seconds += seconds
}
