package page

import (
	"strings"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/plaster"
	"moldwright/pipeline/tables"
)

// mixesShown is how many pours the mix table on the page lists: the newest.
const mixesShown = 12

// mixing says what to weigh for a mold, and what the mold weighs when dry.
func mixing(s *section, res pipeline.Result) {
	u := res.Settings.Units
	mixes := res.Plaster.Mixes
	if len(mixes) == 0 {
		return
	}
	s.heading("What to weigh")
	if c := cautionsAbout(res, "heats to", "plaster dust", "drains"); c != "" {
		s.text("%s", c)
	}
	dry := map[string]tables.MoldMass{}
	for _, m := range res.Plaster.Masses {
		if !strings.Contains(m.Pours, ",") {
			dry[m.Pours] = m
		}
	}
	t := table{
		Caption: "Plaster and water for another mold like these, without any allowance",
		Head:    append(words("Pour"), numbers("Volume to fill|80 % interval", "Water|in 100 of plaster", "Plaster", "Water", "Mold just set", "Mold of that pour|dry at about")...),
	}
	for _, m := range mixes[max(0, len(mixes)-mixesShown):] {
		weigh := cell{Text: dash}
		if d, ok := dry[m.Pour]; ok {
			weigh = of(u.Mass(d.DryKg), format.Interval(u.Mass(d.DryLower80), u.Mass(d.DryUpper80)))
		}
		t.Rows = append(t.Rows, row{Cells: []cell{
			of(m.Pour), of(u.Volume(m.NeededL), format.Interval(u.Volume(m.NeededLow80), u.Volume(m.NeededHigh80))), of(format.Fixed(m.Consistency, 0)),
			toWeigh(u, m.PlasterKg, m.PlasterLb), toWeigh(u, m.WaterKg, m.WaterLb),
			of(u.Mass(m.SetKg)), weigh,
		}})
	}
	s.table(t)
	s.small("Weigh a mold to see whether it is dry: it is when it weighs what its plaster comes to as gypsum. Dry it below about %s. All pours and molds: sheets “Mix” and “Mold weights” of report.xlsx.", u.Temperature(45))
}

// cautionsAbout are the cautions that hold one of the words, in one text.
func cautionsAbout(res pipeline.Result, about ...string) string {
	var out []string
	for _, c := range res.Cautions {
		for _, word := range about {
			if strings.Contains(strings.ToLower(c), word) {
				out = append(out, c)
				break
			}
		}
	}
	return strings.Join(out, " ")
}

// toWeigh is a mass to weigh out: in kg with the pounds below, or in pounds alone.
func toWeigh(u format.Units, kg, lb float64) cell {
	if u == format.US {
		return of(u.Weighed(kg))
	}
	return of(labelledUnit(kg, 2, "kg"), labelledUnit(lb, 1, "lb"))
}

// labelledUnit writes a number with its unit, or the dash.
func labelledUnit(x float64, decimals int, unit string) string {
	if n := format.Fixed(x, decimals); n != dash {
		return n + " " + unit
	}
	return dash
}

// overmix says how much more to mix by form and by maker, and what that would
// have saved.
func overmix(s *section, a plaster.Answer, u format.Units) {
	if len(a.Overmix) == 0 && len(a.OvermixFor) == 0 {
		return
	}
	s.heading("How much more to mix")
	if len(a.Replay) > 0 && tables.Has(a.Replay[0].NetSavedKg) && a.Replay[0].NetSavedKg > 0 {
		r := a.Replay[0]
		s.text("Mixed as advised from what was known before each, %s past pours would have taken %s less plaster, second mixes for short pours counted%s.",
			count(r.Pours), u.Mass(r.NetSavedKg), bracketed(format.Interval(u.Mass(r.NetLower80), u.Mass(r.NetUpper80))))
	}
	spare := "a spare kilo"
	if u == format.US {
		spare = "a spare pound"
	}
	t := table{
		Caption: "Advised over-mix: a short pour loses the mold, " + spare + " only its price",
		Head:    append(words("Form|maker"), numbers("Mix more than the gaps call for", "Mixed so far beyond the gaps|middle pour", "Pours that tell", "Chance of a short pour all the same", "Error of estimates|standard deviation")...),
	}
	for _, o := range a.OvermixFor {
		if o.Form != groupAll && o.Maker != groupAll {
			continue
		}
		name := o.Form
		if o.Form == groupAll && o.Maker != groupAll {
			name = o.Maker
		}
		t.Rows = append(t.Rows, row{Cells: []cell{
			of(name, kindOfName(o)), of(format.Percent(o.AdvisedOvermixShare)), of(format.Percent(o.UsualOvermixShare)), of(count(o.Pours)), of(format.Percent(o.ChanceShort)), of(format.Percent(o.EstimateErrorSD)),
		}})
	}
	if len(a.OvermixFor) == 0 {
		for _, o := range a.Overmix {
			t.Rows = append(t.Rows, cells(o.Form, format.Percent(o.AdvisedOvermixShare), dash, dash, format.Percent(o.ChanceShort), format.Percent(o.EstimateErrorSD)))
		}
	}
	s.table(t)
}

// kindOfName says whether a row of the advice is for a form or a maker.
func kindOfName(o tables.OvermixFor) string {
	switch {
	case o.Form != groupAll:
		return "form"
	case o.Maker != groupAll:
		return "maker"
	}
	return ""
}

// bracketed is an 80 % interval in brackets, "" where it is absent.
func bracketed(interval string) string {
	if interval == dash || interval == "" {
		return ""
	}
	return " (80 % interval " + interval + ")"
}
