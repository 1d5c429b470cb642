package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"moldwright/pipeline"
	"moldwright/pipeline/advice"
	"moldwright/pipeline/tables"
	"moldwright/reports/runrecord"
)

// The end of a run takes at most ten lines of eighty columns: a heading, so many
// pieces of advice of so many lines each, and one line for each of three other things.
const (
	advised     = 3
	linesOfOne  = 2
	usualColumn = 80
)

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
	tell(&b, widthOf(term.out), res, final)
	_, err := io.WriteString(term.out, printable(b.String()))
	return err
}

// tell says what to do next, what could not be told, what was read and what was made.
func tell(w io.Writer, width int, res pipeline.Result, final string) {
	res = res.Told()
	tellAdvice(w, width, res)
	if n := len(res.NotGiven); n > 0 {
		text := "Not given: " + res.NotGiven[0].Answer
		if n > 1 {
			text += fmt.Sprintf(" and %d more", n-1)
		}
		wrapped(w, width, "", text+"; the page says why, and what would give it.")
	}
	read, used, aside, noData := res.Reading.Rows()
	text := fmt.Sprintf("%d rows = %d used + %d set aside + %d no data", read, used, aside, noData)
	if n := attention(res.Problems); n > 0 {
		text += fmt.Sprintf("; %d to mend", n)
	}
	wrapped(w, width, "", text+".")
	wrapped(w, width, "", fmt.Sprintf("Wrote %s as of %s: open report.html or report.xlsx there.", shorter(final), res.Settings.Days.Day(res.Log.AsOf)))
}

// tellAdvice tells the most pressing things, one for each reader first.
func tellAdvice(w io.Writer, width int, res pipeline.Result) {
	picked := pressing(res.Advice)
	urgent := runrecord.Of(res).Answers.AdviceUrgent
	switch {
	case urgent == 0:
		wrapped(w, width, "", "Nothing needs action now.")
	case urgent > len(picked):
		wrapped(w, width, "", fmt.Sprintf("What to do next, the first of %d things that need action:", urgent))
	default:
		wrapped(w, width, "", "What to do next:")
	}
	for _, it := range picked {
		sign := "- "
		if it.Urgent {
			sign = "! "
		}
		var b strings.Builder
		wrapped(&b, width, sign, it.Brief+". "+it.Do)
		fmt.Fprint(w, shortened(b.String(), width))
	}
}

// pressing are at most so many pieces of advice, in the order of the readers: of each
// reader the first, urgent or not, then urgent ones in their order, no two of one mold.
func pressing(all []advice.Item) []advice.Item {
	taken := map[int]bool{}
	told := map[string]bool{}
	take := func(i int) {
		taken[i] = true
		told[subject(all[i])] = true
	}
	for _, reader := range []string{advice.ForPotter, advice.ForShelf, advice.ForInstructor} {
		for i, it := range all {
			if it.For == reader && it.Brief != "" && !told[subject(it)] {
				take(i)
				break
			}
		}
	}
	for i, it := range all {
		if len(taken) < advised && !taken[i] && it.Urgent && it.Brief != "" && !told[subject(it)] {
			take(i)
		}
	}
	var out []advice.Item
	for i, it := range all {
		if taken[i] {
			out = append(out, it)
		}
	}
	return out
}

// subject is what a piece of advice speaks of first: a mold, a form or a class.
func subject(it advice.Item) string {
	word, _, _ := strings.Cut(it.Brief, " ")
	return strings.TrimRight(word, ":,")
}

// shortened keeps of a wrapped text as many lines as one piece of advice may take. On a
// narrow terminal it takes more of them, for the same words.
func shortened(text string, width int) string {
	lines := strings.SplitAfter(text, "\n")
	most := linesOfOne
	if width < usualColumn {
		most = (linesOfOne*usualColumn + width - 1) / width
	}
	if len(lines)-1 <= most {
		return text
	}
	last := strings.TrimRight(lines[most-1], "\n")
	for len([]rune(last)) > width-2 {
		at := strings.LastIndexByte(last, ' ')
		if at <= 2 {
			break
		}
		last = last[:at]
	}
	return strings.Join(lines[:most-1], "") + strings.TrimRight(last, " .,;:") + " …\n"
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
