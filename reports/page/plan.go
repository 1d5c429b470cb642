package page

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"

	"moldwright/pipeline"
	"moldwright/pipeline/advice"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
	"moldwright/reports/charts"
)

// WritePlan writes the page of a run plan alone. The same result and charts give
// the same bytes. The error tells of a chart that is no SVG, or of w failing.
func WritePlan(w io.Writer, res pipeline.Result, pics []charts.Chart) error {
	figures, err := figuresBySection(pics)
	if err != nil {
		return fmt.Errorf("page: %w", err)
	}
	doc := document{Title: "Run plan", Day: res.Settings.Days.Day(asOf(res)), Cautions: res.Cautions}
	for _, r := range readers(res) {
		if r.Name == advice.ForPotter {
			r.Items = slices.DeleteFunc(r.Items, func(it item) bool { return !it.OfPlan })
			for i := range r.Items {
				r.Items[i].Where = strings.ReplaceAll(r.Items[i].Where, "report.xlsx", "plan.xlsx")
			}
			doc.Readers = []reader{{Name: "The orders", Items: r.Items}}
		}
	}
	doc.Sections = []section{planSection(res, figures[charts.SectionPlan]), daysSection(res), mixSection(res), problemsSection(res)}
	var buf bytes.Buffer
	if err := fill(&buf, doc); err != nil {
		return err
	}
	if _, err := w.Write(buf.Bytes()); err != nil {
		return fmt.Errorf("page: writing: %w", err)
	}
	return nil
}

// planSection says of each order whether it comes in time and what to do.
func planSection(res pipeline.Result, figs []figure) section {
	s := section{ID: "plan", Title: "Will the orders come in time?"}
	a := res.Plan
	if len(a.Orders) == 0 {
		return s.leftOut(res, a.WhyNot, "No order is on file")
	}
	goal := res.Settings.Plan.Goal
	t := table{
		Caption: "Orders, with the chance that all pieces are cast in time",
		Head: append(append(append(words("Order"), numbers("Pieces", "Last day")...), words("Verdict")...),
			append(numbers("Chance|molds in hand", "Missing|in the worst of ten runs", "New molds|pour by", "Chance|with them"), words("What to do")...)...),
	}
	for _, o := range a.Orders {
		t.Rows = append(t.Rows, orderRow(o, goal, res.Settings.Days))
	}
	s.table(t)
	if a.Simulation.Draws > 0 {
		s.small("Each chance is counted over %s simulated runs of all orders together, and may be off by %s points for that alone (standard error). Missing: in one run of ten more pieces than this are not there on the last day. The goal is %s.",
			whole(a.Simulation.Draws), format.Fixed(100*a.Simulation.StdError, 1), format.Percent(goal))
	}
	s.figures(figs)
	s.table(needsTable(res))
	s.table(whatIfTable(res))
	if len(a.Assumed) > 0 || len(a.Notes) > 0 {
		s.heading("What the plan rests on")
		s.list(sentences(append(slices.Clone(a.Notes), assumed(a.Assumed)...)))
	}
	return s
}

func orderRow(o tables.PlanOrder, goal float64, days format.Days) row {
	molds, by := dash, ""
	if o.NewMolds != tables.NoCount {
		molds = count(o.NewMolds)
	}
	if o.PourBy.Valid() {
		by = days.Day(o.PourBy)
	}
	verdict := advice.Verdict(o, goal)
	r := row{Cells: []cell{
		of(joined(labelled("", count(o.Order)), o.Form)), of(count(o.Pieces)), of(days.Day(o.Due)), of(sentenceStart(verdict)),
		of(format.Chance(o.ChanceOnTime), format.Likely(o.ChanceOnTime)), of(count(o.ShortP90)), of(molds, by), of(format.Chance(o.ChanceWithNew)),
		of(advice.Deed(o, goal, days), sentence(o.WhyNot)),
	}}
	if verdict == advice.VerdictMove || verdict == advice.VerdictNone {
		r.Class = "flagged"
	}
	return r
}

// needsTable is what to have at hand for the whole run.
func needsTable(res pipeline.Result) table {
	n, u := res.Plan.Needs, res.Settings.Units
	t := table{Caption: "What to have at hand for the whole run", Head: append(words("What"), numbers("How much")...)}
	add := func(what, amount string, x float64) {
		if x > 0 && amount != dash {
			t.Rows = append(t.Rows, cells(what, amount))
		}
	}
	add("Plaster for the new molds", u.Mass(n.PlasterKg), n.PlasterKg)
	add("Water for the new molds", u.Mass(n.WaterKg), n.WaterKg)
	add("Slip, expected", u.Mass(n.SlipKg), n.SlipKg)
	add("Slip that is enough in nine runs of ten", u.Mass(n.SlipP90Kg), n.SlipP90Kg)
	add("Casts, expected", format.Fixed(n.Casts, 0), n.Casts)
	add("Kiln loads", whole(n.KilnLoads), float64(n.KilnLoads))
	add("Cost of the new molds, in the currency of the price list", format.Money(n.NewMoldsCost), n.NewMoldsCost)
	return t
}

// whatIfTable puts the alternatives side by side: a row an alternative where
// there are few orders, since their names are long, and a row an order else.
func whatIfTable(res pipeline.Result) table {
	const fewOrders = 6
	ways, orders, of := whatIf(res.Plan.WhatIf)
	t := table{Caption: "Chance on time if you do otherwise: one change at a time, otherwise with the molds in hand"}
	if len(ways) < 2 {
		return t
	}
	if len(orders) <= fewOrders {
		t.Head = words("Change")
		for _, o := range orders {
			t.Head = append(t.Head, numbers(o)...)
		}
		for _, w := range ways {
			r := cells(sentenceStart(w))
			for _, o := range orders {
				r.Cells = append(r.Cells, of[w+"\x00"+o])
			}
			t.Rows = append(t.Rows, r)
		}
		return t
	}
	t.Head = words("Order")
	for _, w := range ways {
		t.Head = append(t.Head, numbers(sentenceStart(w))...)
	}
	for _, o := range orders {
		r := cells(o)
		for _, w := range ways {
			r.Cells = append(r.Cells, of[w+"\x00"+o])
		}
		t.Rows = append(t.Rows, r)
	}
	return t
}

// whatIf lists alternatives and orders as they come, and the cell of each pair.
func whatIf(all []tables.PlanWhatIf) (ways, orders []string, cellOf map[string]cell) {
	cellOf = map[string]cell{}
	for _, w := range all {
		order := joined(labelled("", count(w.Order)), w.Form)
		if !slices.Contains(ways, w.Alternative) {
			ways = append(ways, w.Alternative)
		}
		if !slices.Contains(orders, order) {
			orders = append(orders, order)
		}
		cellOf[w.Alternative+"\x00"+order] = of(format.Chance(w.ChanceOnTime))
	}
	for _, w := range ways {
		for _, o := range orders {
			if _, ok := cellOf[w+"\x00"+o]; !ok {
				cellOf[w+"\x00"+o] = of(dash)
			}
		}
	}
	return ways, orders, cellOf
}

func assumed(all []tables.PlanAssumed) []string {
	var out []string
	for _, a := range all {
		out = append(out, format.Assumed(a))
	}
	return out
}
