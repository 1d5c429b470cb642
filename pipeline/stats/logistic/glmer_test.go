package logistic

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

const testdata = "../../../testdata/logistic"

func table(t testing.TB, name string) []map[string]string {
	t.Helper()
	file, err := os.Open(filepath.Join(testdata, name))
	require.NoError(t, err)
	defer file.Close()
	cells, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
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

// cbpp is pleuropneumonia in herds of cattle (Lesnoff et al. 2004, Prev. Vet.
// Med. 62), by period.
func cbpp(t testing.TB) ([]Row, int) {
	var rows []Row
	for _, r := range table(t, "cbpp.csv") {
		x := []float64{1, 0, 0, 0}
		if p := int(number(t, r["period"])); p > 1 {
			x[p-1] = 1
		}
		rows = append(rows, Row{Unit: int(number(t, r["herd"])) - 1, X: x, Events: number(t, r["incidence"]), Trials: number(t, r["size"])})
	}
	return rows, 15
}

// bacteria is presence of H. influenzae in children (Venables & Ripley 2002),
// one trial a row.
func bacteria(t testing.TB) ([]Row, int) {
	var rows []Row
	units := 0
	for _, r := range table(t, "bacteria.csv") {
		id := int(number(t, r["id"]))
		units = max(units, id)
		rows = append(rows, Row{Unit: id - 1, X: []float64{1, number(t, r["placebo"]), number(t, r["week"])}, Events: number(t, r["y"])})
	}
	return rows, units
}

// Values of lme4's glmer with nAGQ = 1 (testdata/logistic/glmer.R).
func TestFitsOfGlmer(t *testing.T) {
	want := map[string]float64{}
	for _, r := range table(t, "reference.csv") {
		want[r["check"]] = number(t, r["value"])
	}
	for name, data := range map[string]func(testing.TB) ([]Row, int){"cbpp": cbpp, "bacteria": bacteria} {
		t.Run(name, func(t *testing.T) {
			rows, units := data(t)
			m, err := Fit(rows, units, Options{})
			require.NoError(t, err)
			at := func(what string) float64 {
				v, ok := want[name+"."+what]
				require.True(t, ok, what)
				return v
			}
			require.InDelta(t, at("loglik"), m.LogLik, 1e-6)
			require.InDelta(t, at("spread"), m.Spread, 1e-4)
			for k := range m.Beta {
				require.InDelta(t, at(fmt.Sprintf("beta%d", k+1)), m.Beta[k], 1e-4)
				require.InEpsilon(t, at(fmt.Sprintf("se%d", k+1)), m.StdErr[k], 2e-3)
			}
			for i := range m.Modes {
				require.InDelta(t, at(fmt.Sprintf("mode%d", i+1)), m.Modes[i].Value, 2e-4)
				require.InDelta(t, at(fmt.Sprintf("modevar%d", i+1)), m.Modes[i].Variance, 2e-4)
			}
			require.Empty(t, m.Warnings)
			require.False(t, math.IsNaN(m.SpreadSE))
			for _, w := range m.PriorWeight {
				require.Zero(t, w)
			}
		})
	}
}
