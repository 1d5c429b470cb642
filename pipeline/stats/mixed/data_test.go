package mixed

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

const testdata = "../../../testdata/mixed"

// rows are the rows of a fit, so that tests can add them in any order and
// build the dense matrices of the same model.
type rows struct {
	p, q  int
	group []int
	x, z  [][]float64
	y, w  []float64
}

func (r *rows) add(group int, x, z []float64, y, w float64) {
	r.p, r.q = len(x), len(z)
	r.group = append(r.group, group)
	r.x, r.z = append(r.x, x), append(r.z, z)
	r.y, r.w = append(r.y, y), append(r.w, w)
}

func (r *rows) sums() *Sums {
	s := NewSums(r.p, r.q)
	for i, g := range r.group {
		s.Add(g, r.x[i], r.z[i], r.y[i], r.w[i])
	}
	return s
}

func (r *rows) fit(t testing.TB, c Criterion) *Model {
	t.Helper()
	m, err := Fit(r.sums(), c)
	require.NoError(t, err)
	return m
}

// table is a CSV file of testdata: cells by column name.
func table(t testing.TB, path string) (records []map[string]string) {
	t.Helper()
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	for _, line := range lines[1:] {
		record := map[string]string{}
		for i, name := range lines[0] {
			record[name] = line[i]
		}
		records = append(records, record)
	}
	return records
}

func number(t testing.TB, record map[string]string, name string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(record[name], 64)
	require.NoError(t, err, name)
	return v
}

func readJSON(t testing.TB, name string, into any) {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join(testdata, name))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(raw, into))
}

// published builds the rows of one fit of published_fits.json; groups are
// numbered as in its list.
func published(t testing.TB, name, file string, groups []string) *rows {
	t.Helper()
	index := map[string]int{}
	for i, g := range groups {
		index[g] = i
	}
	r := &rows{}
	for _, rec := range table(t, filepath.Join(testdata, file)) {
		switch {
		case file == "orthodont.csv":
			age := number(t, rec, "age")
			x, z := []float64{1, age}, []float64{1, age}
			if name == "orthodont by sex" {
				female := 0.0
				if rec["Sex"] == "Female" {
					female = 1
				}
				age -= 11
				x, z = []float64{1, age, female, age * female}, []float64{1, age}
			}
			r.add(index[rec["Subject"]], x, z, number(t, rec, "distance"), 1)
		case file == "dyestuff.csv" || file == "dyestuff2.csv":
			r.add(index[rec["Batch"]], []float64{1}, []float64{1}, number(t, rec, "Yield"), 1)
		default:
			day := number(t, rec, "Days")
			x, z := []float64{1, day}, []float64{1, day}
			switch name {
			case "sleepstudy intercepts":
				z = z[:1]
			case "sleepstudy quadratic":
				x = append(x, day*day)
			}
			r.add(index[rec["Subject"]], x, z, number(t, rec, "Reaction"), 1)
		}
	}
	return r
}

// design builds the rows of one of the random designs.
func design(t testing.TB, records []map[string]string, id, p, q int) *rows {
	t.Helper()
	r := &rows{}
	for _, rec := range records {
		if rec["design"] != strconv.Itoa(id) {
			continue
		}
		x, z := make([]float64, p), make([]float64, q)
		for j := range p {
			x[j] = number(t, rec, "x"+strconv.Itoa(j+1))
		}
		for j := range q {
			z[j] = number(t, rec, "z"+strconv.Itoa(j+1))
		}
		r.add(int(number(t, rec, "group")), x, z, number(t, rec, "y"), number(t, rec, "w"))
	}
	return r
}

// near compares to a tolerance relative to the larger of |want| and size.
func near(t testing.TB, want, got, tolerance, size float64, what ...any) {
	t.Helper()
	require.InDelta(t, want, got, tolerance*math.Max(math.Abs(want), size), what...)
}
