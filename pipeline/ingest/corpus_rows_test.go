package ingest_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

// corpusRow is a row as it was read: where it stood and its values by column,
// as text or numbers; absent values are left out.
type corpusRow struct {
	file, sheet string
	row         int
	values      map[string]any // string, []float64
	place       func(column string) string
	order       []string
}

func (g corpusRow) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "sheet=%s row=%d", g.sheet, g.row)
	for _, c := range g.order {
		if v, ok := g.values[c]; ok {
			fmt.Fprintf(&b, " %s=%v", c, v)
		}
	}
	return b.String()
}

// studioRows are the rows of all tables by the table's name.
func studioRows(s tables.Studio) map[string][]corpusRow {
	return map[string][]corpusRow{
		"molds": rowsOf(s.Molds, s.Blocks), "pours": rowsOf(s.Pours, s.Blocks), "gaps": rowsOf(s.Gaps, s.Blocks), "casts": rowsOf(s.Casts, s.Blocks),
		"slips": rowsOf(s.Slips, s.Blocks), "forms": rowsOf(s.Forms, s.Blocks), "prices": rowsOf(s.Prices, s.Blocks), "orders": rowsOf(s.Orders, s.Blocks),
	}
}

func rowsOf[R tables.Row](f tables.Frame[R], blocks tables.Blocks) []corpusRow {
	var out []corpusRow
	for i, row := range f.Rows() {
		o := f.Origin(i)
		file, sheet, _ := blocks.Place(o, "")
		g := corpusRow{file: filepath.Base(file), sheet: sheet, row: int(o.Row), values: map[string]any{}, order: f.Table().Names()}
		g.place = func(column string) string {
			_, _, cell := blocks.Place(o, column)
			return cell
		}
		v := reflect.ValueOf(row)
		for k := range v.NumField() {
			if name, ok := v.Type().Field(k).Tag.Lookup("col"); ok {
				if x := plainValue(v.Field(k).Interface()); x != nil {
					g.values[name] = x
				}
			}
		}
		out = append(out, g)
	}
	return out
}

// plainValue is a value as text or numbers, nil where it is absent.
func plainValue(v any) any {
	switch x := v.(type) {
	case string:
		if x != "" {
			return x
		}
	case float64:
		if tables.Has(x) {
			return []float64{x}
		}
	case []float64:
		if len(x) > 0 {
			return x
		}
	case tables.Count:
		if x != tables.NoCount {
			return []float64{float64(x)}
		}
	case tables.Date:
		if x.Valid() {
			return x.String()
		}
	default:
		return fmt.Sprint(v)
	}
	return nil
}

// wantTable is a wanted table as it stands in its file.
type wantTable struct {
	heads []string
	rows  []wantRow
}

// wantRow is one row, its cells by header.
type wantRow struct {
	heads []string
	text  map[string]string
}

func (t wantTable) column(name string) (int, bool) {
	i := slices.Index(t.heads, name)
	return i, i >= 0
}

func loadWant(path string) (wantTable, error) {
	f, err := os.Open(path)
	if err != nil {
		return wantTable{}, err
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil || len(all) == 0 {
		return wantTable{}, fmt.Errorf("%s: no table: %v", path, err)
	}
	t := wantTable{heads: all[0]}
	for _, cells := range all[1:] {
		w := wantRow{heads: t.heads, text: map[string]string{}}
		for i, h := range t.heads {
			w.text[h] = cells[i]
		}
		t.rows = append(t.rows, w)
	}
	return t, nil
}

func readWant(t *testing.T, path string) wantTable {
	t.Helper()
	w, err := loadWant(path)
	require.NoError(t, err)
	return w
}

func (w wantRow) String() string {
	var parts []string
	for _, h := range w.heads {
		if w.text[h] != "" {
			parts = append(parts, h+"="+w.text[h])
		}
	}
	return strings.Join(parts, " ")
}

// fits reports whether a row that was read is the wanted one: the same place,
// the wanted values, and none besides. An empty cell of file or row is any, a
// value * is any or none; cell_x is the cell of column x.
func (w wantRow) fits(g corpusRow) bool {
	for _, h := range w.heads {
		want := w.text[h]
		column, isCell := strings.CutPrefix(h, "cell_")
		switch {
		case want == "*":
		case h == "file":
			if want != g.file {
				return false
			}
		case h == "sheet":
			if want != g.sheet {
				return false
			}
		case h == "row":
			if want != "" && want != strconv.Itoa(g.row) {
				return false
			}
		case isCell:
			if want != "" && want != g.place(column) {
				return false
			}
		case !sameValue(want, g.values[h]):
			return false
		}
	}
	for name := range g.values {
		if !slices.Contains(w.heads, name) && !strings.HasSuffix(name, "_basis") {
			return false
		}
	}
	return true
}

// sameValue compares a wanted cell with a value; numbers to nine digits.
func sameValue(want string, got any) bool {
	switch x := got.(type) {
	case string:
		return x == want
	case []float64:
		parts := strings.Split(want, ";")
		if len(parts) != len(x) {
			return false
		}
		for i, p := range parts {
			y, err := strconv.ParseFloat(p, 64)
			if err != nil || math.Abs(x[i]-y) > 1e-9*math.Max(math.Abs(y), 1e-300) {
				return false
			}
		}
		return true
	}
	return want == ""
}
