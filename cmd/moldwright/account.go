package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"moldwright/pipeline/ingest"
	"moldwright/pipeline/ingest/mapping"
	"moldwright/pipeline/tables"
)

// How much of the account is shown; all of it is in --problems and --json.
const (
	shownCells  = 6  // places of one problem
	shownGroups = 40 // kinds of problems
)

// write shows the account to a person: a table of the sheets, what each column was
// taken for, what is to be mended, and the sums.
func (a account) write(w io.Writer, width int) {
	a.writeTable(w, width)
	for _, f := range a.reading.Files {
		switch {
		case f.Unreadable != "":
			wrapped(w, width, "", f.Name+": cannot be read: "+f.Unreadable)
			fmt.Fprintln(w)
		case f.Skipped != "":
			wrapped(w, width, "", f.Name+": not read: "+f.Skipped)
			fmt.Fprintln(w)
		}
		for _, s := range f.Sheets {
			writeSheet(w, f.Name, s, width)
		}
	}
	a.writeProblems(w, width)
	if len(a.drafts) > 0 {
		wrapped(w, width, "", "Some sheets were not understood. Save these lines as a file, fill in the empty quotation marks, and give it with --mapping (--write-mapping FILE.toml writes it):")
		fmt.Fprintf(w, "\n%s\n", mapping.Text(a.drafts))
	}
	a.writeSums(w, width)
}

func writeSheet(w io.Writer, file string, s ingest.Sheet, width int) {
	name := file
	if s.Name != "" {
		name += ", sheet " + s.Name
	}
	if s.Hidden {
		name += " (hidden)"
	}
	if s.Table == "" {
		if s.RowsRead == 0 {
			wrapped(w, width, "", name+": empty")
			fmt.Fprintln(w)
			return
		}
		wrapped(w, width, "", name+": not used: "+cmp.Or(s.Why, "no table of ours was recognised"))
		fmt.Fprintln(w)
		return
	}
	wrapped(w, width, "", fmt.Sprintf("%s: %d rows read = %d used + %d set aside + %d no data", name, s.RowsRead, s.RowsUsed, s.RowsAside, s.RowsNoData))
	for _, t := range s.Tables {
		wrapped(w, width, "  ", fmt.Sprintf("%s, header in row %d: %d rows used, %d set aside", t.Table, t.HeaderRow, t.RowsUsed, t.RowsAside))
		writeColumns(w, t.Columns, width)
	}
	fmt.Fprintln(w)
}

// narrow is the width below which the columns of a sheet are no table but one a line.
const narrow = 66

// writeColumns says what became of each column.
func writeColumns(w io.Writer, columns []tables.BlockColumn, width int) {
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, c := range columns {
		became := c.Column
		if became == "" {
			became = notUsed
		} else if c.Unit != "" {
			became += ", in " + c.Unit
		}
		if width < narrow {
			wrapped(w, width, fmt.Sprintf("    %-3s", c.Letter), oneLine(c.Header)+": "+became)
			continue
		}
		fmt.Fprintf(tw, "    %s\t%s\t%s\n", c.Letter, clip(oneLine(c.Header), max(12, (width-30)/2)), became)
	}
	tw.Flush()
}

// group is all problems of one code and severity.
type group struct {
	first  tables.Problem
	places []string // file and sheet, then cells: log.xlsx Casts F12, F40
	sheet  string   // of the place last added
	shown  int      // cells in places
	count  int
}

// add notes one more place.
func (g *group) add(p tables.Problem) {
	g.count++
	if g.shown == shownCells {
		return
	}
	g.shown++
	sheet := place(tables.Problem{File: p.File, Sheet: p.Sheet})
	if len(g.places) > 0 && g.sheet == sheet && p.Cell != "" {
		g.places[len(g.places)-1] += ", " + p.Cell
		return
	}
	g.sheet = sheet
	g.places = append(g.places, place(p))
}

func (a account) groups() []group {
	var groups []group
	index := map[string]int{}
	for _, p := range a.problems {
		key := p.Severity + "\x00" + p.Code
		k, seen := index[key]
		if !seen {
			k = len(groups)
			index[key] = k
			groups = append(groups, group{first: p})
		}
		groups[k].add(p)
	}
	order := []string{tables.SetAside, tables.ValueIgnored, tables.Notice}
	slices.SortStableFunc(groups, func(x, y group) int {
		return cmp.Compare(slices.Index(order, x.first.Severity), slices.Index(order, y.first.Severity))
	})
	return groups
}

func (a account) writeProblems(w io.Writer, width int) {
	groups := a.groups()
	heading := ""
	for i, g := range groups {
		if i == shownGroups {
			wrapped(w, width, "", fmt.Sprintf("… and %d more kinds; --problems FILE.csv writes them all.", len(groups)-i))
			break
		}
		if h := headingOf(g.first.Severity); h != heading {
			heading = h
			fmt.Fprintf(w, "%s\n", h)
		}
		times := ""
		if g.count > 1 {
			times = fmt.Sprintf(" (%d times)", g.count)
		}
		where := strings.Join(g.places, "; ")
		if g.count > g.shown {
			where += fmt.Sprintf(" and %d more", g.count-g.shown)
		}
		wrapped(w, width, "  ", g.first.Code+times)
		read := ""
		if g.first.Value != "" {
			read = fmt.Sprintf(" (read: %s)", clip(oneLine(g.first.Value), 40))
		}
		wrapped(w, width, "    at ", where)
		wrapped(w, width, "    ", g.first.Message+read)
		wrapped(w, width, "    Mend: ", g.first.Mend)
	}
	if len(groups) > 0 {
		fmt.Fprintln(w)
	}
}

func headingOf(severity string) string {
	switch severity {
	case tables.SetAside:
		return "To mend: rows that are set aside"
	case tables.ValueIgnored:
		return "To mend: values that are not used"
	}
	return "To look at: all of this is used"
}

func (a account) writeSums(w io.Writer, width int) {
	read, used, aside, noData := a.reading.Rows()
	wrapped(w, width, "", fmt.Sprintf("%d rows read = %d used + %d set aside + %d no data (titles, headers, totals).", read, used, aside, noData))
	switch {
	case used == 0:
	case aside > 0:
		wrapped(w, width, "", "Mend what you can, check again, then: moldwright report -o report PATH")
	default:
		wrapped(w, width, "", "Nothing is lost. Next: moldwright report -o report PATH")
	}
}

func place(p tables.Problem) string {
	var some []string
	for _, s := range []string{p.File, p.Sheet, p.Cell} {
		if s != "" {
			some = append(some, s)
		}
	}
	return strings.Join(some, " ")
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

func clip(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return s
}
