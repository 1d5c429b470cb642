package workbook

import (
	"github.com/xuri/excelize/v2"
)

// figure is one key figure: what it is, its value, and its name for formulas.
type figure struct {
	what  string
	value value
	name  string // defined name in the workbook
	sheet string
}

// keyFigures are a small table with a defined name for each figure.
func (s *sheet) keyFigures() {
	var shown []figure
	for _, f := range append(s.b.shelfFigures(), s.b.plasterFigures()...) {
		if f.value.is != isEmpty {
			shown = append(shown, f)
		}
	}
	if len(shown) == 0 {
		return
	}
	s.section("Key figures")
	for _, f := range shown {
		row := s.next
		s.entry("", f.what, "", f.sheet)
		l := ofTable(words(f.what), bodySize)
		l.bold, l.wrap = true, false
		s.set(doCol, row, l, f.value)
		s.b.fail(s.b.file.SetDefinedName(&excelize.DefinedName{
			Name: f.name, RefersTo: "'" + summarySheet + "'!" + absolute(doCol, row),
		}))
	}
}

func (b *book) shelfFigures() []figure {
	using, flagged, few := 0, 0, 0
	for _, m := range b.res.Wall.States {
		using += count1(m.Status == inUse)
	}
	_, status := b.formsAndStatus()
	for _, w := range b.res.Watch.Molds {
		flagged += count1(flagWords(w.Flagged, status[w.Mold]) == flaggedWords)
	}
	for _, r := range b.res.Life.Remaining {
		few += count1(outlook(r) == fewWords)
	}
	return []figure{
		{"Molds in use", given(len(b.res.Wall.States), whole(using)), "molds_in_use", moldsSheet},
		{"Molds in use that wear out early", given(len(b.res.Watch.Molds), whole(flagged)), "molds_flagged", watchSheet},
		{"Molds with 5 casts or fewer left (middle forecast)", given(len(b.res.Life.Remaining), whole(few)), "molds_few_casts", remainingSheet},
		{"Casts in the log", given(b.res.Studio.Casts.Len(), whole(b.res.Studio.Casts.Len())), "casts_logged", castsSheet},
		{"Casts that the wall law rests on", given(b.res.Wall.CastsUsed(), whole(b.res.Wall.CastsUsed())), "casts_in_fit", castsSheet},
	}
}

func (b *book) plasterFigures() []figure {
	in := b.written()
	figures := []figure{{"Pours in the log", given(len(b.res.Plaster.Pours), whole(len(b.res.Plaster.Pours))), "pours_logged", poursSheet}}
	for _, w := range b.res.Plaster.By {
		if w.Group != "all" {
			continue
		}
		figures = append(figures,
			figure{"Plaster mixed", in.markedMass(w.PlasterKg), "plaster_mixed_" + in.units.MassUnit().Name, wasteSheet},
			figure{"Plaster wasted", in.markedMass(w.WasteKg), "plaster_wasted_" + in.units.MassUnit().Name, wasteSheet},
			figure{"Waste against plaster mixed", percent(w.WasteShare), "plaster_waste_share", wasteSheet},
			figure{"Cost of the waste, in the currency of the price list", money(w.Cost), "plaster_waste_cost", wasteSheet},
		)
		break
	}
	for _, p := range b.res.Plaster.Budget {
		if p.Class == "all" {
			figures = append(figures, figure{"Bags of plaster to buy for " + p.Period, count(p.Bags), "plaster_bags", budgetSheet})
			break
		}
	}
	return figures
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
