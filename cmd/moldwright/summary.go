package main

import (
	"fmt"
	"path/filepath"

	"moldwright/pipeline"
	"moldwright/pipeline/tables"
	"moldwright/reports/runrecord"
)

// advised is how many pieces of advice the end of a run shows.
const advised = 5

// summarise ends a run: the record as JSON where asked for, else a few lines a
// potter understands, the last of which says what was made and where.
func summarise(term terminal, opts runOptions, res pipeline.Result, final string) error {
	if *opts.json {
		return runrecord.Write(term.out, runrecord.Of(res))
	}
	if *opts.quiet {
		return nil
	}
	read, used, aside, noData := res.Reading.Rows()
	fmt.Fprintf(term.out, "Read %d files, %d rows: %d used, %d set aside, %d no data (titles, headers, blanks).\n", len(res.Reading.Files), read, used, aside, noData)
	if res.Wall.Fitted {
		fmt.Fprintf(term.out, "Walls: %s, from %d casts, as %s.\n", res.Wall.Chosen, len(res.Wall.Used), res.Wall.ChosenBy)
	}
	shown := 0
	for _, it := range res.Advice {
		if it.Urgent && shown < advised {
			fmt.Fprintf(term.out, "! %s\n", it.Finding)
			shown++
		}
	}
	if more := runrecord.Of(res).Answers.AdviceUrgent - shown; more > 0 {
		fmt.Fprintf(term.out, "! and %d more that need action: see the summary.\n", more)
	}
	for _, m := range res.NotGiven {
		fmt.Fprintf(term.out, "Not given: %s, because %s.\n", m.Answer, m.Because)
	}
	if n := attention(res.Problems); n > 0 {
		fmt.Fprintf(term.out, "%d rows or values need mending: see the sheet Problems.\n", n)
	}
	fmt.Fprintf(term.out, "Wrote %s as of %s: open report.xlsx or report.html there.\n", shorter(final), res.Log.AsOf)
	return nil
}

// attention counts the problems that cost a row or a value.
func attention(problems []tables.Problem) int {
	n := 0
	for _, p := range problems {
		if p.Severity != tables.Notice {
			n++
		}
	}
	return n
}

// shorter is the path relative to the working folder where that is inside it.
func shorter(path string) string {
	here, err := filepath.Abs(".")
	if err != nil {
		return path
	}
	if rel, err := filepath.Rel(here, path); err == nil && filepath.IsLocal(rel) {
		return rel
	}
	return path
}
