package plan

import "moldwright/pipeline/tables"

// Request is an order that does not stand in the orders table, such as one given
// by flags.
type Request struct {
	Form     string
	Pieces   int         // good pieces wanted
	Due      tables.Date // last day of casting
	Start    tables.Date // first day of casting; NoDate: the day after the log
	TargetMM float64     // wet wall aimed for, mm; 0: the form's
}
