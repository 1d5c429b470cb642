package plan

import (
	"time"

	"moldwright/pipeline/tables"
)

// Settings of the plan stage. Start from Defaults: 0, nil and NoDate mean
// "by the spreadsheets, else by common practice", and the Answer tells in Assumed
// what was taken and from where.
type Settings struct {
	Requests []Request // orders to plan for instead of those of the orders table; nil: that table's

	Draws int     // simulated courses of the run; 1200 keep the standard error of a chance below 1.5 points
	Goal  float64 // chance on time that new molds are to give each order, in (0,1)

	Rhythm  Rhythm
	Making  Making
	Losses  Losses
	Compare bool // whether the alternatives of the What-if table are simulated
}

// Rhythm is how the studio casts.
type Rhythm struct {
	CastsPerDay float64        // most casts of one mold in a day, for every form; 0: the form's, else the log's
	RestHours   float64        // rest between two casts of one mold, h, for every form; below 0: the form's, else the log's
	WorkHours   float64        // length of a working day, h; 0: the log's
	StudioCasts int            // most casts a day of all molds together; 0: the log's
	WorkDays    []time.Weekday // days of the week on which casts are made; nil: the log's
	DaysOff     []tables.Date  // days without work beside these
}

// Making is how new molds are made.
type Making struct {
	Kinds       []string           // kinds that may be poured; nil: those that the form has had, and split beside a conventional one
	LeadDays    int                // days from pour to service; 0: the log's
	PoursPerDay int                // most molds poured in a day; 0: the log's
	LabourHours map[string]float64 // working hours that a mold of a kind takes; a kind not named: common practice
	MostMolds   int                // most new molds of a form that are thought of
}

// Losses are what becomes of pieces after casting.
type Losses struct {
	Drying, Bisque, Glaze float64 // shares that come through each stage, in (0,1]; 0: not given, all come through
	DaysAfterCasting      int     // days that a piece needs after casting before it counts; 0: the due date is the last day of casting
	KilnPieces            int     // pieces in a kiln load, to count the loads; 0: loads are not counted
	SecondsCount          bool    // whether seconds count towards an order
}

// Defaults are the settings of a run without options.
func Defaults() Settings {
	return Settings{
		Draws: 1200, Goal: 0.9, Compare: true,
		Rhythm: Rhythm{RestHours: -1},
		Making: Making{MostMolds: 12},
	}
}
