package codes

import (
	"fmt"
	"strings"
)

// Limit is the range in which the values of a column are believed.
type Limit struct {
	Column, Unit, Low, High string
}

// Page is the page of all codes and limits, in Markdown.
func Page(limits []Limit) string {
	var b strings.Builder
	b.WriteString(`# Problems, and how to mend them

Every row, value, column or sheet that could not be used as it stands is listed with file, sheet, cell, what is wrong and what to do: by ` + "`moldwright check`" + `, on the *Problems* sheet of the workbook, and in ` + "`tables/problems.csv`" + `. ` + "`moldwright check --explain CODE`" + ` prints one entry of this page.

Rows read = used + set aside + no data (titles, headers, totals). A sheet row that holds records of several tables or casts counts once for each.
`)
	for _, g := range Groups() {
		fmt.Fprintf(&b, "\n## %s\n\n| code | what becomes of it | what it means | what to do |\n| --- | --- | --- | --- |\n", g.Subject)
		for _, c := range g.Codes {
			fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", c.Code, c.Becomes, c.Means, c.Mend)
		}
	}
	b.WriteString(`
## Limits

Values outside are not believed: they catch a wrong unit, a lost decimal mark or a number in the wrong column, not an unusual studio. Common practice, no source.

| column | unit | from | to |
| --- | --- | --- | --- |
`)
	for _, l := range limits {
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", l.Column, l.Unit, l.Low, l.High)
	}
	b.WriteString(`
Of workbooks: at most 1 GiB, packed or unpacked; 1,048,576 rows and 16,384 columns of a sheet; 32,767 characters of a cell; 30,000,000 cells of a sheet, empty ones up to the last of a row included. Of text, Parquet and Arrow files: any size, 1,073,741,824 rows; 16 MiB of a line of a text file, which may have at most 1 GiB where it is not in UTF-8. Of problems: 10,000 of one kind in a file are listed, the others counted. A workbook of more than 10,000 parts, with a part above 4 MiB that unpacks to more than 100 times its size, with more than 16 MiB or 250,000 elements beside its sheets and their texts, with more than 1,100,000 shared texts or 64,000,000 elements on its sheets, or with elements more than 256 deep within each other is refused before it is opened. Rows and columns beyond are told of, never dropped in silence.
`)
	return b.String()
}
