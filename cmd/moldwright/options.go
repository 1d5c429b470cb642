package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/ingest"
	"moldwright/pipeline/tables"
)

// runOptions are the options that every command with a run shares.
type runOptions struct {
	seed  *uint64
	asOf  *string
	dates *string
	units *string
	days  *string
	paper *string
	quiet *bool
	json  *bool

	plaster plasterOptions

	mapping *string // nil for a command that reads its own spreadsheets
}

func addRunOptions(flags *pflag.FlagSet) runOptions {
	set := pipeline.Defaults()
	return runOptions{
		seed:  flags.Uint64("seed", set.Seed, "seed of the random draws; the same seed gives the same bytes"),
		asOf:  flags.String("as-of", "", "day the report speaks of, as 2025-11-30; by default the last day in the log"),
		dates: addDates(flags),
		units: flags.String("units", string(set.Units), "metric or us: what reports are written in; the plain tables are always metric"),
		days:  flags.String("write-dates", string(set.Days), "iso, day-month or month-day: dates in reports as 2025-03-04, 4 Mar 2025 or Mar 4, 2025"),
		paper: flags.String("paper", "", "a4 or letter: what the workbook prints on; by default a4, and letter with --units us"),
		quiet: flags.BoolP("quiet", "q", false, "say nothing but errors"),
		json:  flags.Bool("json", false, "write the run's record to standard output as JSON"),

		plaster: addPlasterOptions(flags),
	}
}

func addDates(flags *pflag.FlagSet) *string {
	return flags.String("dates", "", "day-first or month-first: how to read dates like 3/4/2025 where their column does not tell")
}

// dateOrder checks the answer to --dates.
func dateOrder(s string) (ingest.DateOrder, error) {
	switch o := ingest.DateOrder(s); o {
	case ingest.AskDateOrder, ingest.DayFirst, ingest.MonthFirst:
		return o, nil
	}
	return "", fail(exitUsage, fmt.Errorf("--dates wants %s or %s, not %q", ingest.DayFirst, ingest.MonthFirst, s))
}

// written checks how reports are to be written.
func (o runOptions) written() (format.Units, format.Days, error) {
	units, days := format.Units(strings.ToLower(*o.units)), format.Days(strings.ToLower(*o.days))
	if units != format.Metric && units != format.US {
		return "", "", fail(exitUsage, fmt.Errorf("--units wants %s or %s, not %q", format.Metric, format.US, *o.units))
	}
	switch days {
	case format.ISO, format.DayMonth, format.MonthDay:
		return units, days, nil
	}
	return "", "", fail(exitUsage, fmt.Errorf("--write-dates wants %s, %s or %s, not %q", format.ISO, format.DayMonth, format.MonthDay, *o.days))
}

// paperOf checks the answer to --paper.
func paperOf(s string) (format.Paper, error) {
	switch p := format.Paper(strings.ToLower(s)); p {
	case "", format.A4, format.Letter:
		return p, nil
	}
	return "", fail(exitUsage, fmt.Errorf("--paper wants %s or %s, not %q", format.A4, format.Letter, s))
}

func (o runOptions) settings() (pipeline.Settings, error) {
	set := pipeline.Defaults()
	set.Seed = *o.seed
	order, err := dateOrder(*o.dates)
	if err != nil {
		return set, err
	}
	set.DateOrder = order
	if set.Units, set.Days, err = o.written(); err != nil {
		return set, err
	}
	if set.Paper, err = paperOf(*o.paper); err != nil {
		return set, err
	}
	if o.mapping != nil {
		if set.Mapping, err = readMapping(*o.mapping); err != nil {
			return set, err
		}
	}
	if set.Plaster, err = o.plaster.settings(set.Plaster); err != nil {
		return set, err
	}
	if *o.asOf != "" {
		day, err := time.Parse("2006-01-02", *o.asOf)
		if err != nil {
			return set, fail(exitUsage, fmt.Errorf("--as-of wants a day such as 2025-11-30, not %q", *o.asOf))
		}
		set.AsOf = tables.DateOf(day)
	}
	return set, nil
}
