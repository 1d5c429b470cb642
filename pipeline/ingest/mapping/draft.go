package mapping

import (
	"fmt"
	"path"
	"strconv"
	"strings"

	"moldwright/pipeline/tables"
)

// Draft is a sheet that could not be understood, as a start for a mapping.
type Draft struct {
	File, Sheet string
	Why         string
	Table       string // the table that came closest, "" for none
	Columns     []tables.BlockColumn
}

// Text is a mapping file for the sheets, ready to be edited: every header with
// the column that it was taken for, or with an empty one to be filled in.
func Text(drafts []Draft) string {
	var b strings.Builder
	b.WriteString(`# What the sheets mean that Moldwright could not make out. Fill in the empty
# quotation marks, save the file, and give it with --mapping.
#
# Left of the sign stands the header as it is in the sheet, right of it a header
# that is known, with its unit where numbers have one: "wall (mm)",
# "dwell (min)", "plaster (lb)", and the order of dates: "date (dd.mm.yyyy)".
# Columns left at "" are left out. The known ones are listed at the end.
`)
	shared := map[string]int{}
	for _, d := range drafts {
		if d.Sheet == "" {
			shared[path.Base(d.File)]++
		}
	}
	for _, d := range drafts {
		file := path.Base(d.File)
		if shared[file] > 1 {
			file = d.File // the last part alone would take them for one
		}
		fmt.Fprintf(&b, "\n[[sheet]]\nfile = %s\n", quoted(literal(file)))
		if d.Sheet != "" {
			fmt.Fprintf(&b, "sheet = %s\n", quoted(literal(d.Sheet)))
		}
		fmt.Fprintf(&b, "# not understood: %s\n", oneLine(d.Why))
		if d.Table != "" {
			fmt.Fprintf(&b, "table = %s\n", quoted(d.Table))
		} else {
			b.WriteString("# table = \"casts\"        # or pours, molds, gaps, slips, forms, prices, orders\n")
		}
		b.WriteString("# leave_out = true       # if the sheet is no log\n\n  [sheet.columns]\n")
		seen := map[string]bool{}
		for _, c := range d.Columns {
			key := c.Header
			if key == "" || len(key) > 80 || seen[strings.ToLower(key)] {
				key = "column " + c.Letter
			}
			seen[strings.ToLower(key)] = true
			fmt.Fprintf(&b, "  %s = %s\n", quoted(key), quoted(c.Column))
		}
		b.WriteString("\n  [sheet.words]          # words of the sheet that are not known, for example\n  # \"gut\" = \"good\"\n")
	}
	b.WriteString("\n# Known columns (those marked * are needed):\n")
	for _, t := range tables.Inputs() {
		writeKnown(&b, t)
	}
	return b.String()
}

// writeKnown lists a table's columns in comment lines that fit a narrow window.
func writeKnown(b *strings.Builder, t tables.Table) {
	const widest = 78
	line := "#   " + t.Name + ":"
	for i, name := range known(t) {
		if i > 0 {
			line += ","
		}
		if len(line)+1+len(name) >= widest {
			b.WriteString(line + "\n")
			line = "#     "
		}
		line += " " + name
	}
	b.WriteString(line + "\n")
}

func known(t tables.Table) []string {
	var out []string
	for _, c := range t.Columns {
		if c.Kind == "" {
			continue
		}
		name := c.Name
		if c.Required {
			name += "*"
		}
		out = append(out, name)
	}
	return out
}

// quoted is a TOML basic string; its escapes are those of Go but for \x and \a,
// which control characters would give.
func quoted(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == '\ufffd' {
			return ' '
		}
		return r
	}, s)
	return strconv.Quote(s)
}

// literal is a pattern that fits the name alone, brackets and stars included.
func literal(name string) string {
	return strings.NewReplacer(`\`, `\\`, "*", `\*`, "?", `\?`, "[", `\[`).Replace(name)
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }
