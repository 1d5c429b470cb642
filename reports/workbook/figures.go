package workbook

import (
	"github.com/xuri/excelize/v2"
)

// figure is one key figure: what it is, its value, and its name for formulas.
type figure struct {
	what  string
	value value
	name  string // defined name in the workbook
	yours bool   // the reader may change it
	quiet bool   // not told on the first sheet

	place place // where it stands, once it is written
}

// keyFigures writes figures of a sheet, each with a defined name, so that
// formulas, the first sheet's too, find them wherever they stand. Figures that
// are not known stay away.
func (s *sheet) keyFigures(heading string, figures []figure) {
	const label = 44 // characters that hold a label
	shown := figures[:0:0]
	for _, f := range figures {
		if f.value.is != isEmpty || f.value.formula != "" || f.yours {
			shown = append(shown, f)
		}
	}
	if len(shown) == 0 {
		return
	}
	s.section(heading)
	last, width := 0, 0.0
	for _, w := range s.shownWidths() {
		last++
		if width += w; width >= label {
			break
		}
	}
	for _, f := range shown {
		s.keyFigure(f, last)
	}
}

func (s *sheet) keyFigure(f figure, last int) {
	row, col := s.next, last+1
	l := ofTable(words(f.what), bodySize)
	values, looks := make([]value, col), make([]look, col)
	for i := range last {
		looks[i] = l
	}
	shown := ofTable(fixed(0, 0), bodySize)
	shown.bold = true
	if f.yours {
		shown.fill = yours
	}
	shown.code = f.value.code
	values[0], values[last], looks[last] = words(f.what), f.value, shown
	s.row(row, usualRowHeight, looks, values)
	s.merge(row, 1, last)
	s.b.fail(s.b.file.SetDefinedName(&excelize.DefinedName{Name: f.name, RefersTo: "'" + s.name + "'!" + absolute(col, row)}))
	f.place = place{sheet: s.name, cell: ref(col, row), value: f.value}
	s.b.figures = append(s.b.figures, f)
}

// figuresHeading stands over the key figures of a sheet.
const figuresHeading = "Key figures"

func (b *book) shelfFigures() []figure {
	using := 0
	for _, m := range b.res.Wall.States {
		using += count1(m.Status == inUse)
	}
	return []figure{{what: "Molds in use", value: given(len(b.res.Wall.States), whole(using)), name: "molds_in_use"}}
}

func (b *book) watchFigures() []figure {
	flagged := 0
	_, status := b.formsAndStatus()
	for _, w := range b.res.Watch.Molds {
		flagged += count1(flagWords(w.Flagged, status[w.Mold]) == flaggedWords)
	}
	return []figure{{what: "Molds in use that wear out early", value: given(len(b.res.Watch.Molds), whole(flagged)), name: "molds_flagged"}}
}

func (b *book) remainingFigures() []figure {
	few := 0
	for _, r := range b.res.Life.Remaining {
		few += count1(outlook(r) == fewWords)
	}
	return []figure{{what: "Molds with 5 casts or fewer left (middle forecast)", value: given(len(b.res.Life.Remaining), whole(few)), name: "molds_few_casts"}}
}

func (b *book) planFigures() []figure {
	a := b.res.Plan
	late, molds := 0, 0
	for _, o := range a.Orders {
		late += count1(b.late(o))
		molds += int(max(o.NewMolds, 0))
	}
	in := b.written()
	return []figure{
		{what: "Orders that the molds in hand are not enough for", value: given(len(a.Orders), whole(late)), name: "orders_late"},
		{what: "New molds to pour for the orders", value: given(len(a.Orders), whole(molds)), name: "molds_to_pour"},
		{what: "Plaster for these new molds", value: positive(a.Needs.PlasterKg, in.markedMass(a.Needs.PlasterKg)), name: "plaster_for_the_run"},
	}
}

// positive is v where x is above nothing.
func positive(x float64, v value) value {
	if known(x) && x > 0 {
		return v
	}
	return value{}
}

func (b *book) poursFigures() []figure {
	return []figure{{what: "Pours in the log", value: given(len(b.res.Plaster.Pours), whole(len(b.res.Plaster.Pours))), name: "pours_logged"}}
}

func (b *book) wasteFigures() []figure {
	in := b.written()
	var out []figure
	for _, w := range b.res.Plaster.By {
		if w.Group == everyone {
			out = []figure{
				{what: "Plaster mixed", value: in.markedMass(w.PlasterKg), name: "plaster_mixed"},
				{what: "Plaster wasted", value: in.markedMass(w.WasteKg), name: "plaster_wasted"},
				{what: "Waste against plaster mixed", value: percent(w.WasteShare), name: "plaster_waste_share"},
				{what: "Cost of the waste, in the currency of the price list", value: money(w.Cost), name: "plaster_waste_cost"},
			}
			break
		}
	}
	if w, ok := b.lastTerm(); ok {
		out = append(out,
			figure{what: "Plaster mixed in the last term, " + w.Value, value: in.markedMass(w.PlasterKg), name: "plaster_mixed_last_term"},
			figure{what: "Plaster wasted in the last term, " + w.Value, value: in.markedMass(w.WasteKg), name: "plaster_wasted_last_term"})
	}
	return out
}

func (b *book) wallFigures() []figure {
	return []figure{{what: "Casts that the wall law rests on", value: given(b.castsInFit(), whole(b.castsInFit())), name: "casts_in_fit"}}
}

func (b *book) castsInFit() int { return b.res.Wall.CastsUsed() }

func (b *book) readFigures() []figure {
	return []figure{{what: "Casts in the log", value: given(b.res.Studio.Casts.Len(), whole(b.res.Studio.Casts.Len())), name: "casts_logged"}}
}

// given is v where there is anything it is about, else nothing.
func given(about int, v value) value {
	if about == 0 {
		return value{}
	}
	return v
}

func count1(is bool) int {
	if is {
		return 1
	}
	return 0
}
