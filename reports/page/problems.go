package page

import (
	"strings"

	"moldwright/pipeline"
	"moldwright/pipeline/tables"
)

// linesShown is how many lines of problems stand on the page, and cellsShown how
// many cells one line names.
const (
	linesShown = 50
	cellsShown = 24
)

// same are problems that differ in their cells alone.
type same struct {
	tables.Problem
	cells []string
}

// gather puts problems of one sheet that read the same on one line, where the
// first of them stood: a wall that is missing forty times is one thing to mend.
func gather(problems []tables.Problem) []same {
	var lines []same
	index := map[tables.Problem]int{}
	for _, p := range problems {
		key := p
		key.Cell = ""
		i, ok := index[key]
		if !ok {
			i = len(lines)
			index[key] = i
			lines = append(lines, same{Problem: p})
		}
		if p.Cell != "" {
			lines[i].cells = append(lines[i].cells, p.Cell)
		}
	}
	return lines
}

func (s same) where() cell {
	cells := strings.Join(s.cells[:min(len(s.cells), cellsShown)], ", ")
	if left := len(s.cells) - cellsShown; left > 0 {
		cells += " and " + whole(left) + " more"
	}
	return of(joined(s.Sheet, cells), short(s.File))
}

func problemsSection(res pipeline.Result) section {
	s := section{ID: "problems", Title: "Problems in the inputs, and how to mend them"}
	if len(res.Problems) == 0 {
		s.text("None: everything that was read could be used.")
		return s
	}
	by := map[string]int{}
	for _, p := range res.Problems {
		by[p.Severity]++
	}
	s.text("%s: %s set aside, %s not used, %s.", plural(len(res.Problems), "problem", "problems"), plural(by[tables.SetAside], "row", "rows"),
		plural(by[tables.ValueIgnored], "value", "values"), plural(by[tables.Notice], "note", "notes"))
	t := table{Caption: "Problems, in the order of the files", Class: "long", Head: words("Sheet · cells|file", "As read", "What is wrong", "How to mend it", "What was done")}
	lines := gather(res.Problems)
	for _, p := range lines[:min(len(lines), linesShown)] {
		t.Rows = append(t.Rows, row{Cells: []cell{p.where(), of(short(p.Value)), of(sentence(p.Message)), of(sentence(p.Mend)), of(p.Severity)}})
	}
	s.table(t)
	if left := len(lines) - linesShown; left > 0 {
		s.text("%s more. All problems, cell by cell, are in tables/problems.csv and on the sheet “Problems” of report.xlsx.", plural(left, "line", "lines"))
	} else {
		s.small("Cell by cell: tables/problems.csv, and the sheet “Problems” of report.xlsx.")
	}
	return s
}
