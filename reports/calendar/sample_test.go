package calendar

import (
	"time"

	"moldwright/pipeline"
	"moldwright/pipeline/plan"
	"moldwright/pipeline/tables"
)

// hostile is a name that needs every kind of escaping and folding.
const hostile = `Bowl; "große", 60 × 40 \ Ölkrug 日本語の鉢と皿と花瓶と湯呑みと急須` + "\nsecond line"

// sample is a plan of two orders, invented.
func sample() pipeline.Result {
	day := tables.MakeDate(2025, time.December, 30)
	res := pipeline.Result{Settings: pipeline.Defaults()}
	res.Log.AsOf = day
	res.Plan = plan.Answer{
		From: day + 1,
		Orders: []tables.PlanOrder{
			{Order: 1, Form: hostile, Pieces: 60, Due: day + 60, ChanceOnTime: 0.83},
			{Order: 2, Form: "mug", Pieces: 1, Due: day + 90, ChanceOnTime: 0.97},
		},
		Mix: []tables.PlanMix{{Form: hostile, Kind: "split", Molds: 3, PlasterEach: 3.27, WaterEach: 2.31}},
		Events: []plan.Event{
			{Date: day + 1, What: plan.EventPour, Form: hostile, Kind: "split", Count: 3, Text: "Pour 3 split molds of " + hostile},
			{Date: day + 7, What: plan.EventReady, Form: hostile, Kind: "split", Count: 3, Text: "3 split molds ready"},
			{Date: day + 2, What: plan.EventStart, Order: 1, Form: hostile, Count: 60, Text: "Start casting"},
			{Date: day + 60, What: plan.EventDue, Order: 1, Form: hostile, Count: 60, Text: "60 pieces due"},
			{Date: day + 90, What: plan.EventDue, Order: 2, Form: "mug", Count: 1},
			{Date: tables.NoDate, What: plan.EventReady, Form: "mug", Count: 1, Text: "no day is known"},
		},
	}
	return res
}
