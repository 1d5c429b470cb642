package plan

import (
	"slices"

	"moldwright/pipeline/tables"
)

// Answer is what the plan stage says: whether the orders can be made in time,
// what to pour, and what to do on which day.
type Answer struct {
	WhyNot string      // why there is no plan at all, "" where there is one
	From   tables.Date // first day of the plan: the day after the log
	Until  tables.Date // last day of the plan

	Orders  []tables.PlanOrder   // one an order, in the order of the sheet or of the flags; impossible ones included, with why
	Days    []tables.PlanDay     // the day sheet, with the new molds advised from when they are ready, by date, then in the order of filling
	Mix     []tables.PlanMix     // new molds to pour, by form and kind; no rows where none is needed or none helps
	WhatIf  []tables.PlanWhatIf  // the alternatives side by side, by alternative ("as planned" first), then by order
	Assumed []tables.PlanAssumed // what the plan rests on beside the fits, and where each figure comes from
	Events  []Event              // dates to keep, in order of time

	Needs      Needs
	Simulation Simulation
	Schedule   Schedule
	Notes      []string // what a reader must know of how the plan was made
}

// NewOnDays reports whether the day sheet has molds that are to be poured first.
func (a Answer) NewOnDays() bool {
	return slices.ContainsFunc(a.Days, func(d tables.PlanDay) bool { return d.NewMold })
}

// Kinds of event.
const (
	EventPour  = "pour by" // all new molds of the row must be poured
	EventReady = "ready"   // the new molds are dry, in nine of ten cases
	EventStart = "start"   // first day of casting for an order
	EventDue   = "due"     // last day of casting for an order
)

// Event is a date for a calendar. Several may fall on one day.
type Event struct {
	Date  tables.Date
	What  string // one of the kinds above
	Order int    // number of the order, from 1; 0 where it belongs to none
	Form  string
	Kind  string // of the molds; "" where it is not about molds
	Count int    // molds or pieces
	Text  string // a line for a calendar, such as "Pour 3 split molds of bowl"
}

// Needs is what to have in hand for the whole run, the new molds advised
// included. Absent where the spreadsheets do not tell.
type Needs struct {
	PlasterKg    float64 // for the new molds, with as many pours made again as are to be expected
	WaterKg      float64 // likewise
	SlipKg       float64 // for all casts of the run that are expected, rejects included
	SlipP90Kg    float64 // enough in nine of ten cases
	Casts        float64 // expected
	KilnLoads    int     // 0 where the size of a load is not set
	NewMoldsCost float64 // plaster, water and labour, in the currency of the price list
}

// Simulation says how far to trust the chances.
type Simulation struct {
	Draws    int
	StdError float64 // largest standard error of a chance on time that is shown, as a part of one
}

// Schedule says how capacity was shared between orders, and how near that comes
// to what could be had at best.
type Schedule struct {
	Rule      string  // the rule that was chosen, in words
	OnTime    float64 // mean chance on time over the orders by that rule
	EarlyDue  float64 // likewise by earliest due date first
	Pieces    float64 // pieces ready by their due dates, expected, by that rule
	MostBound float64 // no rule can have more, even one that knows the future (maximal flow)
	Binding   bool    // whether orders compete for capacity at all
}
