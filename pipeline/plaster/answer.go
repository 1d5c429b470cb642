package plaster

import "moldwright/pipeline/tables"

// Answer is what the plaster stage says: where the plaster went, how much to
// mix, how deep to saw, and what to order.
type Answer struct {
	WhyNot   string // why there is nothing, "" where there is
	Pours    []tables.PourWaste
	By       []tables.WasteBy
	Overmix  []tables.Overmix
	Cuts     []tables.CutDepth
	Budget   []tables.Budget
	BagKg    float64 // size of the bags counted in Budget
	PriceKg  float64 // price of a kg of plaster that the budget goes by; absent without one
	Priced   bool    // whether a plaster price was there; without one all costs are absent
	Savings  []Saving
	Notes    []string // assumptions a reader must know
	Problems []tables.Problem

	Balances   []tables.PourBalance
	Mixes      []tables.Mix
	Masses     []tables.MoldMass
	MoldCosts  []tables.MoldCost      // WithLives adds what a whole life comes to
	OvermixFor []tables.OvermixFor    // the advice by form and maker
	Replay     []tables.OvermixReplay // what it would have brought over the log
	WhatIf     []tables.BudgetWhatIf  // what changes would save in the coming term
}

// Saving is what a change would save in the coming period.
type Saving struct {
	Change    string // "halving the failed pours"
	PlasterKg float64
	Cost      float64 // absent without a plaster price
}
