package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

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
	var b strings.Builder
	tell(&b, res, final)
	_, err := io.WriteString(term.out, printable(b.String()))
	return err
}

// tell says what was read, found and made.
func tell(w io.Writer, res pipeline.Result, final string) {
	res = res.Told()
	read, used, aside, noData := res.Reading.Rows()
	fmt.Fprintf(w, "Read %d files, %d rows: %d used, %d set aside, %d no data (titles, headers, blanks).\n", len(res.Reading.Files), read, used, aside, noData)
	if res.Wall.Fitted {
		fmt.Fprintf(w, "Walls: %s, from %d casts, as %s.\n", res.Wall.Chosen, res.Wall.CastsUsed(), res.Wall.ChosenBy)
	}
	shown := 0
	for _, it := range res.Advice {
		if it.Urgent && shown < advised {
			fmt.Fprintf(w, "! %s\n", it.Finding)
			shown++
		}
	}
	if more := runrecord.Of(res).Answers.AdviceUrgent - shown; more > 0 {
		fmt.Fprintf(w, "! and %d more that need action: see the summary.\n", more)
	}
	for _, m := range res.NotGiven {
		fmt.Fprintf(w, "Not given: %s, because %s.\n", m.Answer, m.Because)
	}
	if n := attention(res.Problems); n > 0 {
		fmt.Fprintf(w, "%d rows or values need mending: see the sheet Problems.\n", n)
	}
	fmt.Fprintf(w, "Wrote %s as of %s: open report.xlsx or report.html there.\n", shorter(final), res.Settings.Days.Day(res.Log.AsOf))
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
