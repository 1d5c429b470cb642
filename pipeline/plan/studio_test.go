package plan_test

import (
	"fmt"
	"runtime"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/fixtures/studio"
	"moldwright/pipeline/history"
	"moldwright/pipeline/life"
	"moldwright/pipeline/plan"
	"moldwright/pipeline/plaster"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// inputOf answers what a plan rests on for an invented studio.
func inputOf(seed uint64, opts studio.Options) (plan.Input, studio.Truth) {
	log, truth := studio.Generate(seed, opts)
	s := log.Studio()
	in := plan.Input{Studio: s, Lives: life.Defaults()}
	in.Log, _ = history.Build(s, tables.NoDate)
	in.Wall = wall.Run(in.Log, s, wall.Defaults())
	in.Life = life.Run(in.Log, s, in.Wall, in.Lives, 1)
	in.Plaster = plaster.Run(s, in.Log, plaster.Defaults(), in.Log.AsOf)
	return in, truth
}

var demoInput = sync.OnceValue(func() plan.Input {
	in, _ := inputOf(7, studio.Defaults())
	return in
})

// twentyOrders are orders for a studio of 60 molds, due within 90 days.
func twentyOrders(from tables.Date) []plan.Request {
	var out []plan.Request
	for i := range 20 {
		out = append(out, plan.Request{
			Form: []string{"mug", "bowl", "bottle", "jug"}[i%4], Pieces: 20 + 15*(i%5), Start: from + tables.Date(2*i),
			Due: from + 25 + tables.Date(i*65/19),
		})
	}
	return out
}

var bigInput = sync.OnceValue(func() plan.Input {
	opts := studio.Defaults()
	opts.Molds, opts.CastsPerWeek = 84, 60
	in, _ := inputOf(11, opts)
	return in
})

// BenchmarkPlan is a plan for 20 orders over 90 days with 60 molds in use or more.
func BenchmarkPlan(b *testing.B) {
	in := bigInput()
	set := plan.Defaults()
	set.Requests = twentyOrders(in.Log.AsOf + 1)
	if len(in.Life.Remaining) < 60 {
		b.Fatal(len(in.Life.Remaining), "molds")
	}
	b.ResetTimer()
	for b.Loop() {
		ans := plan.Run(in, set, 1)
		if ans.WhyNot != "" || ans.Simulation.StdError >= 0.015 {
			b.Fatal(ans.WhyNot, ans.Simulation)
		}
	}
}

func TestTheSameOnAnyNumberOfCores(t *testing.T) {
	in := demoInput()
	set := plan.Defaults()
	set.Draws = 600
	before := runtime.GOMAXPROCS(1)
	one := plan.Run(in, set, 1)
	runtime.GOMAXPROCS(4)
	four := plan.Run(in, set, 1)
	runtime.GOMAXPROCS(before)
	require.Equal(t, tableBytes(one), tableBytes(four))
}

// tableBytes are all tables of an answer in words, so that absent values compare.
func tableBytes(a plan.Answer) string {
	return fmt.Sprint(a.Orders, a.Days, a.Mix, a.WhatIf, a.Assumed, a.Events, a.Needs, a.Simulation, a.Schedule, a.Notes)
}
