package main

import (
	"fmt"
	"time"

	"github.com/spf13/pflag"

	"moldwright/pipeline"
	"moldwright/pipeline/ingest"
	"moldwright/pipeline/tables"
)

// runOptions are the options that every command with a run shares.
type runOptions struct {
	seed  *uint64
	asOf  *string
	dates *string
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

func (o runOptions) settings() (pipeline.Settings, error) {
	set := pipeline.Defaults()
	set.Seed = *o.seed
	order, err := dateOrder(*o.dates)
	if err != nil {
		return set, err
	}
	set.DateOrder = order
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
