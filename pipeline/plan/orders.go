package plan

import (
	"fmt"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// wanted is an order as asked, with why it cannot be planned, "" where it can.
type wanted struct {
	form     string // as the forms table or the log spells it
	sheet    tables.Form
	pieces   int
	due      tables.Date
	start    tables.Date // NoDate: at once
	targetMM float64     // absent without
	why      string
}

// mostPieces is more than any studio casts of one order.
const mostPieces = 1_000_000

// wantedOf lists the orders asked for, those of the orders table unless the
// settings ask for others.
func wantedOf(in Input, set Settings) []wanted {
	asked := set.Requests
	if len(asked) == 0 {
		for _, o := range in.Studio.Orders.Rows() {
			asked = append(asked, Request{Form: o.Form, Pieces: int(o.Pieces), Due: o.Due, Start: o.Start, TargetMM: tables.Absent()})
		}
	}
	forms := map[string]tables.Form{}
	for _, m := range in.Log.Molds {
		forms[history.Fold(m.Form)] = blankForm(m.Form)
	}
	listed := map[string]bool{}
	for _, f := range in.Studio.Forms.Rows() {
		if key := history.Fold(f.Form); !listed[key] {
			listed[key], forms[key] = true, f
		}
	}
	delete(forms, "")
	var out []wanted
	for _, r := range asked {
		w := wanted{form: r.Form, pieces: r.Pieces, due: r.Due, start: r.Start, targetMM: r.TargetMM}
		f, known := forms[history.Fold(r.Form)]
		if known {
			w.form, w.sheet = f.Form, f
			if !(w.targetMM > 0) {
				w.targetMM = wall.WetTarget(f)
			}
		}
		w.why = w.wrong(known)
		out = append(out, w)
	}
	return out
}

func blankForm(name string) tables.Form {
	no := tables.Absent()
	return tables.Form{Form: name, TargetWallMM: no, WallToleranceMM: no, LongestDwellMin: no, CastsPerDay: no, RestHours: no,
		PiecesPerKgSlip: no, DryingShrinkage: no, FiringShrinkage: no, TargetFiredWallMM: no}
}

// wrong says why an order cannot be planned at all.
func (w wanted) wrong(known bool) string {
	switch {
	case !known:
		return fmt.Sprintf("no form is called %q in the forms sheet, and no mold makes it: correct the name, or add the form", w.form)
	case w.pieces == int(tables.NoCount):
		return "the order does not say how many pieces are wanted"
	case w.pieces <= 0:
		return fmt.Sprintf("the order is for %d pieces: nothing is to be made", w.pieces)
	case w.pieces > mostPieces:
		return fmt.Sprintf("the order is for %d pieces, more than can be planned: check the number", w.pieces)
	case !w.due.Valid():
		return "the order has no due date"
	case w.start.Valid() && w.start > w.due:
		return fmt.Sprintf("the order starts on %s, after it is due on %s: correct one of the dates", w.start, w.due)
	}
	return ""
}
