// Package plan answers whether molds make a run by a day, what to pour for it
// and what to do each day: a simulation by day of all orders together, with the
// molds' remaining casts, their rejects and the pours' failures drawn from what the
// log tells.
//
// It is a pure function of tables, log, the answers about walls, lives and
// plaster, settings and seed.
package plan

import (
	"moldwright/pipeline/history"
	"moldwright/pipeline/life"
	"moldwright/pipeline/plaster"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// Input is what a plan is made from.
type Input struct {
	Studio  tables.Studio
	Log     history.Log
	Wall    wall.Answer
	Life    life.Answer
	Plaster plaster.Answer
}

// Run plans. The answer depends on nothing but its arguments.
func Run(in Input, set Settings, seed uint64) Answer {
	if len(set.Requests) == 0 && in.Studio.Orders.Len() == 0 {
		return Answer{WhyNot: "there is no order: fill in the orders sheet, or ask for one with the plan command"}
	}
	return Answer{WhyNot: "not simulated"}
}
