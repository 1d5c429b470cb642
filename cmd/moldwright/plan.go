package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"

	"moldwright/pipeline"
	"moldwright/pipeline/advice"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
	"moldwright/reports"
	"moldwright/reports/calendar"
	"moldwright/reports/outdir"
	"moldwright/reports/runrecord"
)

func planCommand() command {
	return command{
		name: "plan", args: "-o OUT PATH…", summary: "plan orders day by day, write a plan folder",
		about: "Reads spreadsheets as report does and plans the orders in them, or the one order that the options\n" +
			"name: whether it comes in time, what to pour for it and by when, and what to cast on which day.\n" +
			"Writes plan.xlsx (with a day sheet to print, fill in and read back), plan.html, plan.ics for your\n" +
			"calendar, charts/, tables/ and run.json into the folder OUT, whole or not at all. Inputs are only read.\n\n" +
			"  moldwright plan -o plan my-logs/\n" +
			"  moldwright plan -o plan my-logs/ --form bowl --pieces 60 --due 2026-02-19",
		setup: func(flags *pflag.FlagSet) func(context.Context, []string, terminal) error {
			out := flags.StringP("out", "o", "", "folder to write the plan into")
			wanted := addPlanOptions(flags)
			opts := addRunOptions(flags)
			opts.mapping = addMapping(flags)
			return func(ctx context.Context, args []string, term terminal) error {
				if *out == "" {
					return fail(exitUsage, errors.New("say where to write with -o OUT"))
				}
				if len(args) == 0 {
					return fail(exitUsage, errors.New("name the files or folders to read: the plan rests on your log of casts and molds"))
				}
				set, err := opts.settings()
				if err != nil {
					return err
				}
				if set.Plan, err = wanted.settings(set.Plan, set.DateOrder); err != nil {
					return fail(exitUsage, err)
				}
				return produce(ctx, *out, args, set, opts, term, product{
					kind: outdir.Plan, check: worthWriting, write: reports.WritePlan, tell: sayPlan,
				})
			}
		},
	}
}

// worthWriting refuses a plan of nothing, and one whose only order, named by
// options, cannot be planned at all: the options are to be mended first.
func worthWriting(res pipeline.Result) error {
	a := res.Plan
	if len(a.Orders) == 0 {
		return fail(exitNothing, fmt.Errorf("no plan: %s", a.WhyNot))
	}
	if o := a.Orders[0]; len(res.Settings.Plan.Requests) > 0 && o.WhyNot != "" && !tables.Has(o.ChanceOnTime) && !o.FeasibleBy.Valid() {
		return fail(exitUsage, errors.New(o.WhyNot))
	}
	return nil
}

// mostOrdersSaid is how many orders the end of a run tells one by one.
const mostOrdersSaid = 4

// sayPlan ends a run: the record as JSON where asked for, else what a potter
// needs to know, the last line saying what was made and where.
func sayPlan(term terminal, opts runOptions, res pipeline.Result, final string) error {
	if *opts.json {
		return runrecord.Write(term.out, runrecord.Of(res))
	}
	if *opts.quiet {
		return nil
	}
	var b strings.Builder
	tellPlan(&b, widthOf(term.out), res.Told(), final)
	_, err := io.WriteString(term.out, printable(b.String()))
	return err
}

// tellPlan says what becomes of each order and what to do about it, what to have at
// hand, and what was made.
func tellPlan(w io.Writer, width int, res pipeline.Result, final string) {
	a, goal, set := res.Plan, res.Settings.Plan.Goal, res.Settings
	say := func(format string, args ...any) { wrapped(w, width, "", fmt.Sprintf(format, args...)) }
	for i, o := range a.Orders {
		if i == mostOrdersSaid {
			say("and %d more orders: see the sheet Run plan.", len(a.Orders)-i)
			break
		}
		sayOrder(w, width, o, goal, set.Days)
	}
	if n := a.Needs; n.PlasterKg > 0 {
		say("Have at hand: %s of plaster, %s of water for new molds; %s of slip, to be safe %s.",
			set.Units.Mass(n.PlasterKg), set.Units.Mass(n.WaterKg), set.Units.Mass(n.SlipKg), set.Units.Mass(n.SlipP90Kg))
	} else if n.SlipKg > 0 {
		say("Have at hand: %s of slip, to be safe %s.", set.Units.Mass(n.SlipKg), set.Units.Mass(n.SlipP90Kg))
	}
	mend := ""
	if n := attention(res.Problems); n > 0 {
		mend = fmt.Sprintf("; %d rows or values to mend", n)
	}
	say("Planned from %s for a chance of %s, each good to %s points%s.",
		set.Days.Day(a.From), format.Percent(goal), format.Fixed(100*a.Simulation.StdError, 1), mend)
	dates := ""
	if calendar.Has(res) {
		dates = "; dates: plan.ics"
	}
	say("Wrote %s: print the day sheet of plan.xlsx, or open plan.html%s.", shorter(final), dates)
}

// sayOrder tells an order in one line: a sign where something is to be done,
// what is the case, and the deed.
func sayOrder(w io.Writer, width int, o tables.PlanOrder, goal float64, days format.Days) {
	sign := "! "
	if advice.Verdict(o, goal) == advice.VerdictFine {
		sign = "  "
	}
	wrapped(w, width, sign, advice.WantedInWords(o, days)+" "+advice.Deed(o, goal, days)+" "+advice.ChanceInWords(o))
}
