package wander

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

const (
	testdata = "../../../testdata"
	fetched  = "../../../../shared/reference/data/fetched"
)

// table reads a CSV file into one map a row, by column name.
func table(t testing.TB, path string) []map[string]string {
	t.Helper()
	file, err := os.Open(path)
	require.NoError(t, err)
	defer file.Close()
	cells, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	require.NotEmpty(t, cells)
	var out []map[string]string
	for _, line := range cells[1:] {
		row := map[string]string{}
		for i, name := range cells[0] {
			row[name] = line[i]
		}
		out = append(out, row)
	}
	return out
}

func number(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

// grouped reads units from rows that stand together.
func grouped(t testing.TB, rows []map[string]string, id, age, value string) []Unit {
	t.Helper()
	var units []Unit
	last := ""
	for _, row := range rows {
		if row[id] != last {
			units = append(units, Unit{})
			last = row[id]
		}
		u := &units[len(units)-1]
		u.Ages = append(u.Ages, number(t, row[age]))
		u.Values = append(u.Values, number(t, row[value]))
	}
	return units
}

func sleepstudy(t testing.TB) []Unit {
	return grouped(t, table(t, filepath.Join(testdata, "mixed", "sleepstudy.csv")), "Subject", "Days", "Reaction")
}

// uneven leaves out every other reading of every third unit, as dense.R does.
func uneven(t testing.TB) []Unit {
	units := sleepstudy(t)
	for i := range units {
		if (i+1)%3 != 0 {
			continue
		}
		var u Unit
		for j, age := range units[i].Ages {
			if int(age)%2 == 0 {
				u.Ages = append(u.Ages, age)
				u.Values = append(u.Values, units[i].Values[j])
			}
		}
		units[i] = u
	}
	return units
}

// references are the values that dense.R printed.
func references(t testing.TB) map[string]float64 {
	t.Helper()
	out := map[string]float64{}
	for _, row := range table(t, filepath.Join(testdata, "wander", "reference.csv")) {
		out[row["check"]] = number(t, row["value"])
	}
	return out
}

// degradation reads a published set that is not kept in the project.
func degradation(t testing.TB, name string) []map[string]string {
	t.Helper()
	path := filepath.Join(fetched, name)
	if _, err := os.Stat(path); err != nil {
		if os.Getenv("MOLDWRIGHT_REFERENCE") == "required" {
			t.Fatalf("reference data required but absent: %v", err)
		}
		t.Skipf("not checked, because the published data are absent: %v", err)
	}
	return table(t, path)
}
