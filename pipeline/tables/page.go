package tables

import (
	"fmt"
	"strings"

	"github.com/apache/arrow/go/v17/arrow"
)

// Page is the page of all columns, in Markdown, as written to pipeline/COLUMNS.md.
func Page() string {
	var b strings.Builder
	b.WriteString("# Every column, in and out\n\n" +
		"Written from the declarations in `pipeline/tables`, of which the reader of spreadsheets, the blank log workbook, the CSV and Parquet files and the stages are made, too. " +
		"What a cell may look like, and the limits beyond which a value is not believed: [PROBLEMS.md](PROBLEMS.md). How the results come about: [METHODS.md](METHODS.md).\n\n" +
		"## What is read\n\n" +
		"From sheets of any name and order, by headers in plain words. A row without a **required** value is set aside and listed. The unit is the one that values are kept in; a header or a cell may name another. " +
		"Columns of kind *readings* may stand several times, numbered: `wall_1`, `wall_2` and so on.\n")
	for _, t := range Inputs() {
		fmt.Fprintf(&b, "\n### %s: a row is %s\n\n| column | kind | unit | meaning |\n| --- | --- | --- | --- |\n", t.Name, t.Doc)
		for _, c := range t.Columns {
			fmt.Fprintf(&b, "| %s | %s | %s | %s |\n", c.needed(), c.inWords(), c.Unit, c.meaning())
		}
	}
	b.WriteString("\n## What comes out\n\n" +
		"Each table twice: `tables/NAME.csv` (UTF-8, a header line, absent values empty) and `tables/NAME.parquet` (absent values null, unit and meaning as metadata of each field). " +
		"Names and their order are a contract: later versions add columns at the end. Numbers are not rounded. A chance or a share is a part of 1. Money is in the currency of your price list.\n")
	for _, t := range Outputs() {
		fmt.Fprintf(&b, "\n### %s: a row is %s\n\n| column | holds | unit | meaning |\n| --- | --- | --- | --- |\n", t.Name, t.Doc)
		for _, c := range t.Columns {
			fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", c.Name, c.holds(), c.Unit, c.meaning())
		}
	}
	return b.String()
}

// needed is the column's name, bold where a row needs it.
func (c Column) needed() string {
	if c.Required {
		return "**`" + c.Name + "`**"
	}
	return "`" + c.Name + "`"
}

// meaning is the doc line as a cell of the page.
func (c Column) meaning() string {
	text := strings.ReplaceAll(c.Doc, "|", "\\|")
	if len(c.Choices) > 0 {
		text += " (" + strings.Join(c.Choices, ", ") + ")"
	}
	return text
}

// inWords is the kind of an input column for the page.
func (c Column) inWords() string {
	switch c.Kind {
	case KindID:
		return "name"
	case KindChoice:
		return "one of a list"
	case KindDate:
		return "day"
	case KindClock:
		return "time of day"
	case KindDuration:
		return "length of time"
	case KindCount:
		return "whole number"
	case KindLengths:
		return "readings of a length"
	case KindShare:
		return "share or percent"
	case "":
		return "told by the header"
	}
	return c.Kind
}

// holds is the type of a result column for the page.
func (c Column) holds() string {
	switch c.Type.ID() {
	case arrow.STRING:
		return "text"
	case arrow.FLOAT64:
		return "number"
	case arrow.INT32:
		return "whole number"
	case arrow.DATE32:
		return "day"
	case arrow.BOOL:
		return "true or false"
	}
	return c.Type.Name()
}
