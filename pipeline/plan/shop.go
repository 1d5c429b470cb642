package plan

import "math"

// shop is what the simulation knows of the studio: all of it is numbers and
// indices, so that alternatives are cheap to make.
type shop struct {
	cal   calendar
	limit int     // casts a day of all molds together
	caps  []int32 // likewise by draw and day, draw by draw; nil: limit on every day
	mean  float64 // likewise over the days
	forms []shopForm
	jobs  []job
}

// noLimit stands for a studio that fills as many molds as there are.
const noLimit = math.MaxInt32

// most is the casts of a day of all molds together, in a draw.
func (s *shop) most(draw, day int) int {
	if s.caps == nil {
		return s.limit
	}
	return int(s.caps[draw*len(s.cal.days)+day])
}

// paced is the shop with other casts a day by draw and day.
func (s shop) paced(caps []int32) *shop {
	s.caps = caps
	s.mean = 0
	for _, n := range caps {
		s.mean += float64(n) / float64(len(caps))
	}
	return &s
}

// unpaced is the shop with as many casts on every day.
func (s shop) unpaced(limit int) *shop {
	s.caps, s.limit, s.mean = nil, limit, float64(limit)
	return &s
}

// shopForm is a form that is wanted.
type shopForm struct {
	name  string
	slots int     // casts of one mold in a day
	lost  float64 // share of casts that give no piece for the order, expected
}

// job is an order that can be worked on.
type job struct {
	order      int // index among all orders
	form       int // index in shop.forms
	pieces     int
	start, due int // indices of working days; due is −1 where the day is past
}

// mold is a mold in hand or one that could be made, with what comes of it in each
// draw. The draws of a mold do not depend on which other molds there are.
type mold struct {
	name   string
	kind   string
	form   int
	index  int     // in the log's molds; −1 for a new one
	age    int     // casts made so far
	median float64 // middle of its further casts
	life   []int32 // further casts, by draw
	good   []uint64
	words  int     // of good, per draw
	lead   []int32 // days from pour to service, by draw; −1 where it does not come off; nil for a mold in hand
}

// placed is a mold in a scenario.
type placed struct {
	*mold
	poured int     // working day of its pour; −1 for a mold in hand
	life   []int32 // further casts under the scenario, by draw
}

// scenario is one way to go about the orders.
type scenario struct {
	shop  *shop
	molds []placed
	rule  rule
	late  bool // whether orders are worked on to the plan's end, and not only to the last due day

	beside *beside // what other forms do, while new molds of one are thought of; nil where that is not known
}

// with is the scenario with more molds.
func (s scenario) with(more ...placed) scenario {
	s.molds = append(s.molds[:len(s.molds):len(s.molds)], more...)
	return s
}
