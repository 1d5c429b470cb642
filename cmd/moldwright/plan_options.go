package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"moldwright/pipeline/ingest"
	"moldwright/pipeline/plan"
	"moldwright/pipeline/tables"
)

// planOptions are the options of the plan command, as written. Empty means by the
// spreadsheets, else by common practice.
type planOptions struct {
	form, pieces, due, start, target string // one order instead of those in the spreadsheets

	goal, draws                                             string
	castsADay, rest, workingHours, studioCasts, workingDays string
	daysOff                                                 []string
	kinds                                                   string
	leadDays, poursADay, mostMolds                          string
	labour                                                  []string
	drying, bisque, glaze                                   string
	daysAfter, kilnPieces                                   string
	seconds                                                 bool
}

func addPlanOptions(flags *pflag.FlagSet) *planOptions {
	o := &planOptions{}
	text := func(p *string, name, use string) { flags.StringVar(p, name, "", use) }
	text(&o.form, "form", "one order instead of those in the spreadsheets: the form wanted")
	text(&o.pieces, "pieces", "… how many good pieces")
	text(&o.due, "due", "… last day of casting, as 2026-02-19")
	text(&o.start, "start", "… first day of casting; by default the day after the log")
	text(&o.target, "target-wall", "… wet wall to aim for, as 5 mm or 3/16 in; by default the form's")
	text(&o.goal, "goal", "chance on time that new molds are to give, as 90% (the default)")
	text(&o.castsADay, "casts-a-day", "most casts of one mold in a day")
	text(&o.rest, "rest", "rest between two casts of a mold, as 3 h or 1:30")
	text(&o.workingHours, "working-hours", "length of a working day, as 7.5 h")
	text(&o.studioCasts, "studio-casts-a-day", "most casts in a day of all molds together")
	text(&o.workingDays, "working-days", "days of casting, as mon-fri or mon,wed,sat")
	flags.StringSliceVar(&o.daysOff, "day-off", nil, "day without casting, as 2026-01-06, or from..to; may stand several times")
	text(&o.kinds, "kinds", "kinds of mold that may be poured, as split,one-piece")
	text(&o.leadDays, "lead-days", "days from pouring a mold to its first cast")
	text(&o.poursADay, "pours-a-day", "most molds poured in a day")
	text(&o.mostMolds, "most-molds", "most new molds of a form to think of")
	flags.StringSliceVar(&o.labour, "labour", nil, "work for one mold of a kind, as split=1.5 h")
	text(&o.drying, "through-drying", "share of pieces that come through drying, as 95%")
	text(&o.bisque, "through-bisque", "share that comes through the bisque firing")
	text(&o.glaze, "through-glaze", "share that comes through the glaze firing")
	text(&o.daysAfter, "days-after-casting", "days that a piece needs after casting before it counts")
	text(&o.kilnPieces, "kiln-pieces", "pieces in a kiln load, to count the loads")
	flags.BoolVar(&o.seconds, "seconds-count", false, "count seconds towards an order")
	text(&o.draws, "draws", "simulated runs; 1200 (the default) keep the standard error of each chance below 1.5 points")
	return o
}

// settings puts what was written into the plan's settings. The error says which
// option is wrong and what it wants.
func (o *planOptions) settings(set plan.Settings, order ingest.DateOrder) (plan.Settings, error) {
	r := &optionReader{order: order}
	r.share("goal", o.goal, &set.Goal, 0.5, 0.99)
	r.whole("draws", o.draws, &set.Draws, 200, 100_000)
	r.number("casts-a-day", o.castsADay, &set.Rhythm.CastsPerDay, 0.1, 24)
	r.hours("rest", o.rest, &set.Rhythm.RestHours, 0, 30*24)
	r.hours("working-hours", o.workingHours, &set.Rhythm.WorkHours, 0.5, 24)
	r.whole("studio-casts-a-day", o.studioCasts, &set.Rhythm.StudioCasts, 1, 10_000)
	set.Rhythm.WorkDays = r.weekdays("working-days", o.workingDays)
	set.Rhythm.DaysOff = r.daysOff("day-off", o.daysOff)
	set.Making.Kinds = r.kinds("kinds", o.kinds)
	r.whole("lead-days", o.leadDays, &set.Making.LeadDays, 1, 90)
	r.whole("pours-a-day", o.poursADay, &set.Making.PoursPerDay, 1, 100)
	r.whole("most-molds", o.mostMolds, &set.Making.MostMolds, 1, 100)
	set.Making.LabourHours = r.labour("labour", o.labour)
	r.share("through-drying", o.drying, &set.Losses.Drying, 0.01, 1)
	r.share("through-bisque", o.bisque, &set.Losses.Bisque, 0.01, 1)
	r.share("through-glaze", o.glaze, &set.Losses.Glaze, 0.01, 1)
	r.whole("days-after-casting", o.daysAfter, &set.Losses.DaysAfterCasting, 0, 90)
	r.whole("kiln-pieces", o.kilnPieces, &set.Losses.KilnPieces, 1, 100_000)
	set.Losses.SecondsCount = o.seconds
	set.Requests = o.requests(r)
	return set, r.err
}

// requests is the one order that the options name, if they name one.
func (o *planOptions) requests(r *optionReader) []plan.Request {
	if o.form+o.pieces+o.due+o.start+o.target == "" {
		return nil
	}
	var missing []string
	for _, need := range []struct{ name, value string }{{"--form", o.form}, {"--pieces", o.pieces}, {"--due", o.due}} {
		if strings.TrimSpace(need.value) == "" {
			missing = append(missing, need.name)
		}
	}
	if len(missing) > 0 {
		r.fail(fmt.Errorf("one order takes --form, --pieces and --due together: add %s, or leave them all out to plan the orders in the spreadsheets", strings.Join(missing, " and ")))
		return nil
	}
	req := plan.Request{Form: strings.TrimSpace(o.form), Start: tables.NoDate}
	r.whole("pieces", o.pieces, &req.Pieces, 1, 1_000_000)
	r.day("due", o.due, &req.Due)
	r.day("start", o.start, &req.Start)
	r.wall("target-wall", o.target, &req.TargetMM)
	if r.err == nil && req.Start.Valid() && req.Start > req.Due {
		r.fail(errors.New("--start lies after --due: the first day of casting comes before the last"))
	}
	return []plan.Request{req}
}
