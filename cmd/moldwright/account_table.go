package main

import (
	"fmt"
	"io"
	"strings"

	"moldwright/pipeline/ingest"
)

// sheetLine is a row of the table that check begins with.
type sheetLine struct {
	name, taken             string
	read, used, aside, none int
}

const notUsed = "not used"

// lines are the sheets that hold anything, file by file.
func (a account) lines() []sheetLine {
	var out []sheetLine
	for _, f := range a.reading.Files {
		if f.Unreadable != "" || f.Skipped != "" {
			out = append(out, sheetLine{name: f.Name, taken: "not read"})
			continue
		}
		for _, s := range f.Sheets {
			if s.RowsRead > 0 {
				out = append(out, sheetLine{nameOf(f.Name, s), takenFor(s), s.RowsRead, s.RowsUsed, s.RowsAside, s.RowsNoData})
			}
		}
	}
	return out
}

func nameOf(file string, s ingest.Sheet) string {
	if s.Name == "" {
		return oneLine(file)
	}
	return oneLine(file + ", " + s.Name)
}

// takenFor names the tables found on a sheet, each once.
func takenFor(s ingest.Sheet) string {
	var names []string
	for _, t := range s.Tables {
		if len(names) == 0 || names[len(names)-1] != t.Table {
			names = append(names, t.Table)
		}
	}
	if len(names) == 0 {
		return notUsed
	}
	return strings.Join(names, ", ")
}

// numbersWidth is what the four columns of numbers take.
const numbersWidth = 4 * 9

// writeTable writes one line a sheet: its name, what it was taken for, and the account
// of its rows. Where the terminal is too narrow the name stands on a line of its own.
func (a account) writeTable(w io.Writer, width int) {
	lines := a.lines()
	if len(lines) == 0 {
		return
	}
	sum := sheetLine{name: "all"}
	name, taken := len("sheet"), len("taken for")
	for _, l := range lines {
		sum.read, sum.used, sum.aside, sum.none = sum.read+l.read, sum.used+l.used, sum.aside+l.aside, sum.none+l.none
		name, taken = max(name, len([]rune(l.name))), max(taken, len([]rune(l.taken)))
	}
	taken = min(taken, 18)
	room := width - numbersWidth - 2 - taken
	numbers := func(l sheetLine) string { return fmt.Sprintf("%9d%9d%9d%9d", l.read, l.used, l.aside, l.none) }
	heads := fmt.Sprintf("%9s%9s%9s%9s", "rows", "used", "aside", "no data")
	if room >= 16 {
		name = min(name, room)
		fmt.Fprintf(w, "%-*s  %-*s%s\n", name, "sheet", taken, "taken for", heads)
		for _, l := range append(lines, sum) {
			fmt.Fprintf(w, "%s  %s%s\n", padded(l.name, name), padded(l.taken, taken), numbers(l))
		}
	} else {
		short := max(4, min(9, (width-2)/4))
		for _, l := range append(lines, sum) {
			wrapped(w, width, "", strings.TrimSuffix(l.name+": "+l.taken, ": "))
			fmt.Fprintf(w, "  %*s%*s%*s%*s\n", short, fmt.Sprint(l.read), short, fmt.Sprint(l.used), short, fmt.Sprint(l.aside), short, fmt.Sprint(l.none))
		}
		wrapped(w, width, "", "(rows, used, set aside, no data)")
	}
	fmt.Fprintln(w)
}

// padded clips or fills a text to a width.
func padded(s string, width int) string {
	s = clip(s, width)
	return s + strings.Repeat(" ", max(0, width-len([]rune(s))))
}
