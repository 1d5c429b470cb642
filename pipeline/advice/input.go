package advice

import (
	"moldwright/pipeline/format"
	"moldwright/pipeline/history"
	"moldwright/pipeline/life"
	"moldwright/pipeline/plan"
	"moldwright/pipeline/plaster"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
	"moldwright/pipeline/watch"
)

// Input is all that advice is drawn from.
type Input struct {
	Studio  tables.Studio
	Log     history.Log
	Wall    wall.Answer
	Life    life.Answer
	Watch   watch.Answer
	Plaster plaster.Answer
	Plan    plan.Answer
	Units   format.Units
	Days    format.Days
	Goal    float64 // chance on time that an order is to have, in (0,1)
}

// Items are the things to know and do, the urgent ones of each reader first.
func Items(in Input) []Item {
	var items []Item
	for _, build := range []func(Input) []Item{potter, shelf, instructor} {
		part := build(in)
		for _, urgent := range []bool{true, false} {
			for _, it := range part {
				if it.Urgent == urgent {
					items = append(items, it)
				}
			}
		}
	}
	return items
}

// Workbook sheets that items point to.
const (
	SheetMolds     = "Molds"
	SheetDwell     = "Dwell guide"
	SheetRemaining = "Remaining casts"
	SheetWatch     = "Watch list"
	SheetPours     = "Plaster pours"
	SheetWaste     = "Waste"
	SheetBudget    = "Budget"
	SheetOvermix   = "Over-mix"
	SheetProblems  = "Problems"
	SheetPlan      = "Run plan"
	SheetDay       = "Day sheet"
)
