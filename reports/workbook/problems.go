package workbook

import (
	"net/url"
	"path"
	"strings"

	"moldwright/pipeline/tables"
)

// problems lists what could not be used as it stands, and how to mend it.
func (b *book) problems() {
	if len(b.res.Problems) == 0 && len(b.res.Reading.Files) == 0 {
		return
	}
	s, _ := openTable(b, page{
		name: problemsSheet, title: "What could not be used, and how to mend it", wide: true,
		note: "Open the file, go to the cell, mend it and run again; a cell's name, where it is underlined, opens the file there, as long as file and report stay where they are. “Row set aside” rows are not used at all; “value not used” rows are used without that value; a note is only something to look at.",
	}, table[tables.Problem]{
		name: "problems_table", full: "tables/problems.csv", columns: problemColumns(), rows: b.res.Problems, long: true,
		linked: "Cell", link: func(r tables.Problem) string { return linkTo(b.res.Links[r.File], r.Sheet, r.Cell) },
		marks: []mark{
			{on: "What happened", words: tables.SetAside, columns: []string{"What happened"}, tone: toneAct},
			{on: "What happened", words: tables.ValueIgnored, columns: []string{"What happened"}, tone: toneSoon},
		},
		none: "Nothing to mend: every row was used as it stands.",
	})
	s.close()
}

// linkTo leads to a cell of an input: the file's path from the report, and for a
// workbook the sheet and cell. Without a path there is no link.
func linkTo(file, sheet, cell string) string {
	if file == "" {
		return ""
	}
	to := (&url.URL{Path: file}).EscapedPath()
	switch strings.ToLower(path.Ext(file)) {
	case ".xlsx", ".xlsm":
	default:
		return to
	}
	if sheet == "" || cell == "" {
		return to
	}
	if strings.Trim(cell, "0123456789") == "" {
		cell = "A" + cell // a whole row
	}
	return to + "#'" + url.PathEscape(strings.ReplaceAll(sheet, "'", "''")) + "'!" + cell
}

// placeOf is what stands in a problem's cell column: where a whole file or sheet
// is meant, a word to click on.
func placeOf(r tables.Problem) string {
	if r.Cell == "" {
		return "–"
	}
	return r.Cell
}

func problemColumns() []column[tables.Problem] {
	type row = tables.Problem
	return []column[row]{
		{head: "File", most: 22, value: func(r row) value { return words(r.File) }},
		{head: "Sheet", most: 18, value: func(r row) value { return words(r.Sheet) }},
		{head: "Cell", value: func(r row) value { return words(placeOf(r)) }},
		{head: "What happened", value: func(r row) value { return words(r.Severity) }},
		{head: "Value as read", value: func(r row) value { return words(r.Value) }},
		{head: "What is wrong", most: 36, value: func(r row) value { return words(r.Message) }},
		{head: "What to do", most: 36, value: func(r row) value { return words(r.Mend) }},
		{head: "Code", value: func(r row) value { return words(r.Code) }},
	}
}
