// Package mapping reads the file in which a user says what the sheets and
// columns of a log mean, where their names alone do not tell.
package mapping

import (
	"errors"
	"fmt"
	"maps"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/BurntSushi/toml"

	"moldwright/pipeline/tables"
)

// MaxFileBytes is the size of a mapping file above which it is none.
const MaxFileBytes = 1 << 20

// Mapping is a mapping file as read. The zero Mapping settles nothing.
type Mapping struct {
	Sheets []*Rule
}

// Rule settles one sheet, or all sheets whose names its patterns fit.
type Rule struct {
	File     string            // name of the file, or a pattern such as 2025-*.csv; "" for all
	Sheet    string            // name of the sheet, or a pattern; "" for all
	Table    string            // the table that it holds, "" to be found out
	LeaveOut bool              // the sheet is left out
	Columns  map[string]string // header as it stands, or "column C", to a header that is known; "" leaves the column out
	Given    map[string]string // column to the value that holds for all rows
	Words    map[string]string // word as it stands to a word that is known

	used map[string]bool // entries that fitted something
}

// file is the form in which a mapping stands in TOML.
type file struct {
	Sheets []struct {
		File    string            `toml:"file"`
		Sheet   string            `toml:"sheet"`
		Table   string            `toml:"table"`
		Leave   bool              `toml:"leave_out"`
		Columns map[string]string `toml:"columns"`
		Given   map[string]any    `toml:"given"`
		Words   map[string]string `toml:"words"`
	} `toml:"sheet"`
}

// Read reads a mapping file. Its error says where the file is wrong and what
// to write instead.
func Read(name string) (*Mapping, error) {
	info, err := os.Stat(name) // first, because opening a pipe may never end
	if err != nil {
		return nil, fmt.Errorf("the mapping file cannot be opened: %w", err)
	}
	if !info.Mode().IsRegular() || info.Size() > MaxFileBytes {
		return nil, fmt.Errorf("%s is no mapping file: it is a folder, a device or larger than 1 MiB; moldwright check prints a mapping file that can be edited", name)
	}
	text, err := os.ReadFile(name)
	if err != nil {
		return nil, fmt.Errorf("the mapping file cannot be opened: %w", err)
	}
	m, err := Parse(string(text))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return m, nil
}

// Parse reads the text of a mapping file.
func Parse(text string) (*Mapping, error) {
	if line := tooDeep(text); line > 0 {
		return nil, fmt.Errorf("line %d: brackets or names within each other more than %d deep; put a name with dots or brackets in quotation marks", line, MaxNesting)
	}
	var f file
	meta, err := toml.Decode(text, &f)
	if err != nil {
		var syntax toml.ParseError
		if errors.As(err, &syntax) {
			return nil, fmt.Errorf("line %d: %s; moldwright check prints a mapping file that can be edited", syntax.Position.Line, syntax.Message)
		}
		return nil, fmt.Errorf("%w; values are written in quotation marks, as in mold = \"M-07\"", err)
	}
	if unknown := meta.Undecoded(); len(unknown) > 0 {
		return nil, fmt.Errorf("nothing here is called %q: a [[sheet]] has file, sheet, table, leave_out, columns, given and words", unknown[0].String())
	}
	m := &Mapping{}
	for i, s := range f.Sheets {
		r := &Rule{File: s.File, Sheet: s.Sheet, Table: s.Table, LeaveOut: s.Leave, Columns: s.Columns, Given: map[string]string{}, Words: s.Words, used: map[string]bool{}}
		for column, v := range s.Given {
			r.Given[column] = written(v)
		}
		if err := r.check(); err != nil {
			return nil, fmt.Errorf("[[sheet]] number %d: %w", i+1, err)
		}
		m.Sheets = append(m.Sheets, r)
	}
	return m, nil
}

// written is a value as it would stand in a cell: numbers and days need no
// quotation marks.
func written(v any) string {
	switch v := v.(type) {
	case float64:
		return strconv.FormatFloat(v, 'f', -1, 64)
	case time.Time:
		return v.Format("2006-01-02")
	}
	return fmt.Sprint(v)
}

// check finds what no sheet can make right.
func (r *Rule) check() error {
	for _, pattern := range []string{r.File, r.Sheet} {
		if _, err := path.Match(pattern, ""); err != nil {
			return fmt.Errorf("%q is no name and no pattern: * stands for any letters, ? for one", pattern)
		}
	}
	if r.Table == "" {
		if len(r.Given) > 0 {
			return errors.New(`values that hold for all rows need the table: write table = "casts" or another`)
		}
		return nil
	}
	i := slices.IndexFunc(tables.Inputs(), func(t tables.Table) bool { return t.Name == r.Table })
	if i < 0 {
		return fmt.Errorf("there is no table %q: write one of %s", r.Table, strings.Join(names(), ", "))
	}
	for _, column := range slices.Sorted(maps.Keys(r.Given)) {
		if c, ok := tables.Inputs()[i].Column(column); !ok || c.Kind == "" {
			return fmt.Errorf("%s has no column %q", r.Table, column)
		}
	}
	return nil
}

func names() []string {
	var out []string
	for _, t := range tables.Inputs() {
		out = append(out, t.Name)
	}
	return out
}

// For is the first rule that fits a sheet, nil where none does. A text file is
// a file with one sheet without a name.
func (m *Mapping) For(file, sheet string) *Rule {
	if m == nil {
		return nil
	}
	for _, r := range m.Sheets {
		if fits(r.File, file) && fits(r.Sheet, sheet) {
			r.used[""] = true
			return r
		}
	}
	return nil
}

// fits compares a name with a pattern; the pattern may give the last part of a
// path alone.
func fits(pattern, name string) bool {
	if pattern == "" || pattern == name || pattern == path.Base(name) {
		return true
	}
	if ok, _ := path.Match(pattern, name); ok {
		return true
	}
	ok, _ := path.Match(pattern, path.Base(name))
	return ok && !strings.Contains(pattern, "/")
}

// Rename says how to read a header in a column, whose letter is that of the
// spreadsheet program; settled is false where the rule says nothing of it.
func (r *Rule) Rename(letter, header string) (as string, settled bool) {
	for _, key := range slices.Sorted(maps.Keys(r.Columns)) {
		if strings.EqualFold(spaces(key), spaces(header)) || strings.EqualFold(key, "column "+letter) {
			r.used["columns."+key] = true
			return r.Columns[key], true
		}
	}
	return "", false
}

// Word gives the word that one of the sheet is to be read as.
func (r *Rule) Word(written string) (as string, settled bool) {
	for _, key := range slices.Sorted(maps.Keys(r.Words)) {
		if strings.EqualFold(spaces(key), spaces(written)) {
			r.used["words."+key] = true
			return r.Words[key], true
		}
	}
	return "", false
}

// Unused lists the entries that fitted no sheet or no column, in words.
func (m *Mapping) Unused() []string {
	var out []string
	if m == nil {
		return nil
	}
	for i, r := range m.Sheets {
		what := fmt.Sprintf("[[sheet]] number %d", i+1)
		if !r.used[""] {
			out = append(out, what+" fits no sheet that was read")
			continue
		}
		for _, key := range slices.Sorted(maps.Keys(r.Columns)) {
			if !r.used["columns."+key] {
				out = append(out, fmt.Sprintf("%s: no header is %q", what, key))
			}
		}
		for _, key := range slices.Sorted(maps.Keys(r.Words)) {
			if !r.used["words."+key] {
				out = append(out, fmt.Sprintf("%s: no cell where a word is chosen holds %q", what, key))
			}
		}
	}
	return out
}

func spaces(s string) string { return strings.Join(strings.Fields(s), " ") }
