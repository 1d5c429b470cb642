package pipeline

import (
	"slices"

	"moldwright/pipeline/advice"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// Told is the result as a report tells it: sentences that the stages wrote name
// their quantities and days in the units and the form of the settings. Numbers
// stay SI; a report converts them where it writes them. The plain tables take the
// result itself. Told twice is told once.
func (r Result) Told() Result {
	if format.NewProse(r.Settings.Units, r.Settings.Days, nil).Idle() {
		return r // the names of a factory are many
	}
	say := format.NewProse(r.Settings.Units, r.Settings.Days, r.names())
	for _, why := range []*string{
		&r.Wall.WhyNot, &r.Wall.ChosenBy, &r.Life.WhyNot, &r.Hindcast.WhyNot, &r.Watch.WhyNot, &r.Plaster.WhyNot, &r.Plan.WhyNot, &r.Plan.Schedule.Rule,
	} {
		*why = say.Text(*why)
	}
	for _, notes := range []*[]string{
		&r.Wall.Dropped, &r.Life.Notes, &r.Hindcast.Notes, &r.Watch.Notes, &r.Plaster.Notes, &r.Plan.Notes, &r.Cautions,
	} {
		*notes = say.Texts(*notes)
	}
	r.Problems = each(r.Problems, func(p *tables.Problem) { p.Message, p.Mend = say.Text(p.Message), say.Units(p.Mend) })
	r.NotGiven = each(r.NotGiven, func(m *advice.Missing) { m.Because, m.Add = say.Text(m.Because), say.Text(m.Add) })
	r.Advice = each(r.Advice, func(i *advice.Item) {
		i.Finding, i.Do, i.Brief = say.Text(i.Finding), say.Text(i.Do), say.Text(i.Brief)
	})
	r.Life.Remaining = each(r.Life.Remaining, func(l *tables.RemainingCasts) { l.Basis = say.Text(l.Basis) })
	r.Watch.Molds = each(r.Watch.Molds, func(w *tables.Watch) {
		w.Evidence, w.RejectEvidence, w.DoNext = say.Text(w.Evidence), say.Text(w.RejectEvidence), say.Text(w.DoNext)
	})
	r.Plaster.Budget = each(r.Plaster.Budget, func(b *tables.Budget) { b.Period = say.Text(b.Period) })
	r.Plan.Orders = each(r.Plan.Orders, func(o *tables.PlanOrder) { o.WhyNot = say.Text(o.WhyNot) })
	r.Plan.Mix = each(r.Plan.Mix, func(m *tables.PlanMix) { m.Basis = say.Text(m.Basis) })
	r.Plan.Assumed = each(r.Plan.Assumed, func(a *tables.PlanAssumed) { a.Words, a.Basis = say.Text(a.Words), say.Text(a.Basis) })
	r.Plan.WhatIf = each(r.Plan.WhatIf, func(w *tables.PlanWhatIf) { w.Alternative = say.Text(w.Alternative) })
	return r
}

// each is a copy of a list, changed row by row.
func each[R any](list []R, change func(*R)) []R {
	out := slices.Clone(list)
	for i := range out {
		change(&out[i])
	}
	return out
}

// names are those from the inputs that a sentence may name.
func (r Result) names() []string {
	var out []string
	for _, m := range r.Log.Molds {
		out = append(out, m.Mold, m.Form)
	}
	out = append(out, r.Studio.Forms.Texts("form")...)
	for _, column := range []string{"pour", "mold", "maker", "class"} {
		out = append(out, r.Studio.Pours.Texts(column)...)
	}
	for _, o := range r.Plan.Orders {
		out = append(out, o.Form)
	}
	for _, f := range r.Reading.Files {
		out = append(out, f.Name)
		for _, s := range f.Sheets {
			out = append(out, s.Name)
		}
	}
	return out
}
