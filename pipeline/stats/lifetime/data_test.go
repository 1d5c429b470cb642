package lifetime

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

const (
	kept    = "../../../testdata/lifetime"
	fetched = "../../../../shared/reference/data/fetched"
)

// rows reads a CSV file into one map a row, by column name.
func rows(t *testing.T, path string) []map[string]string {
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

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

// fromKept reads units from a file of this project.
func fromKept(t *testing.T, name string, unit func(map[string]string) (Unit, bool)) []Unit {
	t.Helper()
	var units []Unit
	for _, row := range rows(t, filepath.Join(kept, name)) {
		if u, ok := unit(row); ok {
			units = append(units, u)
		}
	}
	require.NotEmpty(t, units)
	return units
}

// fromFetched reads units from the copies of published tables that are not
// kept in the project; count names the column of repetitions, "" for none.
func fromFetched(t *testing.T, name, age, count string, ended func(map[string]string) bool) []Unit {
	t.Helper()
	path := filepath.Join(fetched, name)
	if _, err := os.Stat(path); err != nil {
		if os.Getenv("MOLDWRIGHT_REFERENCE") == "required" {
			t.Fatalf("reference data required but absent: %v", err)
		}
		t.Skipf("not checked, because the published data are absent: %v", err)
	}
	var units []Unit
	for _, row := range rows(t, path) {
		n := 1.0
		if count != "" {
			n = number(t, row[count])
		}
		for range int(n) {
			units = append(units, Unit{Exit: number(t, row[age]), Ended: ended(row)})
		}
	}
	return units
}

func bearings(t *testing.T) []Unit {
	return fromKept(t, "lieblein_zelen_bearings.csv", func(row map[string]string) (Unit, bool) {
		return Unit{Exit: number(t, row["megacycles"]), Ended: true}, true
	})
}

func gehan(t *testing.T, treatment string) []Unit {
	return fromKept(t, "gehan.csv", func(row map[string]string) (Unit, bool) {
		return Unit{Exit: number(t, row["time"]), Ended: row["cens"] == "1"}, row["treat"] == treatment
	})
}

func channing(t *testing.T, sex string) []Unit {
	return fromKept(t, "channing.csv", func(row map[string]string) (Unit, bool) {
		u := Unit{Entry: number(t, row["entry"]), Exit: number(t, row["exit"]), Ended: row["cens"] == "1"}
		return u, sex == "" || row["sex"] == sex
	})
}

func stanford(t *testing.T) []Unit {
	return fromKept(t, "stanford_heart.csv", func(row map[string]string) (Unit, bool) {
		return Unit{Entry: number(t, row["start"]), Exit: number(t, row["stop"]), Ended: row["event"] == "1"}, true
	})
}

// close compares to a relative tolerance and says by how much it missed.
func close(t *testing.T, want, got, relative float64, what string) {
	t.Helper()
	require.InEpsilon(t, want, got, relative, what)
}
