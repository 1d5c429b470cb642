// Package planned holds an invented run plan for the tests of the reports: an order
// of each verdict, a day sheet over several days, new molds of two kinds.
package planned

import (
	"fmt"
	"time"

	"moldwright/pipeline/plan"
	"moldwright/pipeline/tables"
)

// AsOf is the last day of the log behind the plan.
func AsOf() tables.Date { return tables.MakeDate(2026, time.March, 13) }

// Answer is the plan.
func Answer() plan.Answer {
	day := AsOf()
	return plan.Answer{
		From: day + 1, Until: day + 60,
		Orders: orders(day), Days: days(day), Mix: mix(day), WhatIf: whatIf(day), Assumed: assumed(), Events: events(day),
		Needs:      plan.Needs{PlasterKg: 21.4, WaterKg: 15.2, SlipKg: 96.3, SlipP90Kg: 108.8, Casts: 171.2, KilnLoads: 5, NewMoldsCost: 187.4},
		Simulation: plan.Simulation{Draws: 4000, StdError: 0.0079},
		Schedule:   plan.Schedule{Rule: "earliest due date first", OnTime: 0.61, EarlyDue: 0.61, Pieces: 149.2, MostBound: 153.8, Binding: true},
		Notes:      []string{"A piece counts once it is cast and good; drying and firing were taken to lose none."},
	}
}

func orders(day tables.Date) []tables.PlanOrder {
	no, none := tables.Absent(), tables.NoCount
	return []tables.PlanOrder{
		{Order: 1, Form: "mug", Pieces: 40, Due: day + 30, Start: day + 1, ChanceOnTime: 0.964, StdError: 0.003, ShortP90: 0, NewMolds: 0, PourBy: tables.NoDate, PlasterKg: 0, SlipKg: 31.2,
			ChanceWithNew: 0.964, MoldsInHand: 4, CastsP50: 44, FeasibleBy: day + 30, ChanceAllAlone: 0.98},
		{Order: 2, Form: "bowl", Pieces: 90, Due: day + 40, Start: day + 3, ChanceOnTime: 0.214, StdError: 0.0065, ShortP90: 31, NewMolds: 3, PourBy: day + 6, PlasterKg: 12.6, SlipKg: 48.7,
			ChanceWithNew: 0.927, MoldsInHand: 2, CastsP50: 81, FeasibleBy: day + 40, ChanceAllAlone: 0.25},
		{Order: 3, Form: "tall vase", Pieces: 25, Due: day + 5, Start: day + 1, ChanceOnTime: 0, StdError: 0, ShortP90: 20, NewMolds: none, PourBy: tables.NoDate, PlasterKg: no, SlipKg: 16.4,
			ChanceWithNew: no, MoldsInHand: 1, CastsP50: 6, FeasibleBy: day + 33, WhyNot: "a mold poured now is dry after the due day", ChanceAllAlone: 0},
		{Order: 4, Form: "teapot", Pieces: 12, Due: day + 30, Start: tables.NoDate, ChanceOnTime: no, StdError: no, ShortP90: none, NewMolds: none, PourBy: tables.NoDate, PlasterKg: no, SlipKg: no,
			ChanceWithNew: no, MoldsInHand: 0, CastsP50: none, FeasibleBy: tables.NoDate, WhyNot: "no mold, pour or form of the name teapot is in the spreadsheets; check its spelling on the orders sheet", ChanceAllAlone: no},
		{Order: 5, Form: "bowl", Pieces: 30, Due: day + 45, Start: day + 10, ChanceOnTime: 0.552, StdError: 0.0079, ShortP90: 9, NewMolds: 1, PourBy: day + 12, PlasterKg: 8.8, SlipKg: no,
			ChanceWithNew: 0.78, MoldsInHand: 2, CastsP50: 29, FeasibleBy: day + 52, ChanceAllAlone: 0.6},
	}
}

// days is a day sheet of three working weeks and four molds; one of them without
// a fitted law.
func days(day tables.Date) []tables.PlanDay {
	molds := []struct {
		name, form string
		order      tables.Count
		age        tables.Count
		dwell      float64
		target     float64
	}{
		{"M-01", "mug", 1, 14, 21, 4}, {"M-04", "mug", 1, 8, 18.4, 4}, {"B 2, the large one with the blue mark", "bowl", 2, 33, 44.2, 5}, {"V1", "tall vase", 3, 0, tables.Absent(), tables.Absent()},
	}
	var out []tables.PlanDay
	made := map[string]tables.Count{}
	for i := range 21 {
		d := day + 1 + tables.Date(i)
		if w := d.Time().Weekday(); w == time.Saturday || w == time.Sunday {
			continue
		}
		for round := range 2 {
			for k, m := range molds {
				if round == 1 && k > 1 {
					continue
				}
				n := made[m.name]
				made[m.name]++
				dwell := m.dwell * (1 + 0.01*float64(n) + 0.04*float64(round))
				out = append(out, tables.PlanDay{
					Date: d, Mold: m.name, CastNumber: m.age + n + 1, DwellMin: dwell, Form: m.form, Order: m.order, OfDay: tables.Count(round + 1),
					TargetWallMM: m.target, DwellLower90: 0.86 * dwell, DwellUpper90: 1.17 * dwell, ChanceMade: 0.97 - 0.01*float64(n), Spare: n > 24,
				})
			}
		}
	}
	return out
}

func mix(day tables.Date) []tables.PlanMix {
	return []tables.PlanMix{
		{Form: "bowl", Kind: "split", Molds: 3, PourBy: day + 6, ReadyBy: day + 12, PlasterEach: 4.21, WaterEach: 3.0, PlasterKg: 12.6, WaterKg: 9.0, CostEach: 31.2, LifeP50: 34, ChanceFailed: 0.11,
			Basis: "median of 9 pours of the form that came off", PoursEach: 1},
		{Form: "bowl", Kind: "multi-part", Molds: 1, PourBy: day + 12, ReadyBy: day + 19, PlasterEach: 8.8, WaterEach: 6.2, PlasterKg: 8.8, WaterKg: 6.2, CostEach: tables.Absent(), LifeP50: 97, ChanceFailed: 0.06,
			Basis: "median of 2 pours of the form that came off", PoursEach: 2},
	}
}

func whatIf(day tables.Date) []tables.PlanWhatIf {
	chances := []struct {
		what  string
		later tables.Date
		of    []float64
	}{
		{"as planned", 0, []float64{0.964, 0.214, 0, 0.552}},
		{"two more molds", 0, []float64{0.991, 0.861, 0, 0.702}},
		{"one more cast a day", 0, []float64{0.975, 0.388, 0.02, 0.61}},
		{"a longest dwell a quarter longer", 0, []float64{0.968, 0.301, 0, tables.Absent()}},
		{"a week later", 7, []float64{0.98, 0.402, 0.11, 0.69}},
	}
	var out []tables.PlanWhatIf
	for _, c := range chances {
		for i, order := range []int{0, 1, 2, 4} {
			o := orders(day)[order]
			gain := c.of[i] - chances[0].of[i]
			out = append(out, tables.PlanWhatIf{Alternative: c.what, Order: o.Order, Form: o.Form, Due: o.Due + c.later, ChanceOnTime: c.of[i], ShortP90: o.ShortP90, Gain: gain, GainStdError: 0.006})
		}
	}
	return out
}

func assumed() []tables.PlanAssumed {
	return []tables.PlanAssumed{
		{What: "casts a day", Of: "mug", Value: 2, Unit: "casts", Basis: "the form"},
		{What: "rest between two casts", Of: "bowl", Value: 5.5, Unit: "h", Basis: "the log: the middle of 212 gaps"},
		{What: "days from pour to service", Value: 6, Unit: "d", Basis: "common practice (no source)"},
		{What: "working days", Value: tables.Absent(), Words: "Monday to Friday", Basis: "the log"},
		{What: "good pieces", Of: "mug", Value: 0.93, Basis: "the log: 186 of 200 casts"},
	}
}

func events(day tables.Date) []plan.Event {
	var out []plan.Event
	for _, m := range mix(day) {
		out = append(out,
			plan.Event{Date: m.PourBy, What: plan.EventPour, Form: m.Form, Kind: m.Kind, Count: int(m.Molds), Text: fmt.Sprintf("Pour %d %s molds of %s", m.Molds, m.Kind, m.Form)},
			plan.Event{Date: m.ReadyBy, What: plan.EventReady, Form: m.Form, Kind: m.Kind, Count: int(m.Molds), Text: fmt.Sprintf("%d %s molds of %s ready", m.Molds, m.Kind, m.Form)})
	}
	return append(out, plan.Event{Date: day + 30, What: plan.EventDue, Order: 1, Form: "mug", Count: 40, Text: "40 mug due"})
}
