package mixed

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

const fetched = "../../../../shared/reference/data/fetched"

// NIST Statistical Reference Datasets, linear regression, certified values
// (https://www.itl.nist.gov/div898/strd/): Longley is the test of columns that
// are nearly alike, Norris and Pontius of lower and average difficulty. Rows
// are put in groups so that groups differ less than chance would have them; the
// variance between groups is then exactly 0 and the fixed effects those of
// least squares.
func TestNISTLinear(t *testing.T) {
	for _, c := range []struct {
		file     string
		columns  func(rec map[string]float64) []float64
		beta, se []float64
		sd       float64
	}{
		{"nist_lin_longley.csv", func(r map[string]float64) []float64 {
			return []float64{1, r["x1"], r["x2"], r["x3"], r["x4"], r["x5"], r["x6"]}
		}, []float64{-3482258.63459582, 15.0618722713733, -0.0358191792925910, -2.02022980381683, -1.03322686717359, -0.0511041056535807, 1829.15146461355},
			[]float64{890420.383607373, 84.9149257747669, 0.0334910077722432, 0.488399681651699, 0.214274163161675, 0.226073200069370, 455.478499142212}, 304.854073561965},
		{"nist_lin_norris.csv", func(r map[string]float64) []float64 { return []float64{1, r["x"]} },
			[]float64{-0.262323073774029, 1.00211681802045}, []float64{0.232818234301152, 0.000429796848199937}, 0.884796396144373},
		{"nist_lin_pontius.csv", func(r map[string]float64) []float64 { return []float64{1, r["x"], r["x"] * r["x"]} },
			[]float64{0.000673565789473684, 7.32059160401003e-07, -3.16081871345029e-15},
			[]float64{0.000107938612033077, 1.57817399981659e-10, 4.86652849992036e-17}, 0.000205177424076185},
	} {
		t.Run(c.file, func(t *testing.T) {
			path := filepath.Join(fetched, c.file)
			if _, err := os.Stat(path); err != nil {
				if os.Getenv("MOLDWRIGHT_REFERENCE") == "required" {
					t.Fatal("the reference data is required and absent: ", path)
				}
				t.Skip("the reference data is absent: ", path)
			}
			r := leveled(t, path, c.columns, c.beta)
			m := r.fit(t, REML)
			require.Zero(t, m.Rank, "the groups should not differ")
			near(t, c.sd, m.Sigma, 1e-10, 0)
			se := m.BetaSE()
			for j := range c.beta {
				near(t, c.beta[j], m.Beta[j], 1e-10, 0, "coefficient %d", j)
				near(t, c.se[j], se[j], 1e-10, 0, "standard error %d", j)
			}
		})
	}
}

// leveled reads the rows and groups them in pairs, the largest residual with
// the smallest and so on.
func leveled(t *testing.T, path string, columns func(map[string]float64) []float64, beta []float64) *rows {
	type row struct {
		x      []float64
		y, res float64
	}
	var all []row
	for _, rec := range table(t, path) {
		v := map[string]float64{}
		for name := range rec {
			v[name] = number(t, rec, name)
		}
		x := columns(v)
		all = append(all, row{x, v["y"], v["y"] - dot(x, beta)})
	}
	slices.SortFunc(all, func(a, b row) int { return int(math.Copysign(1, a.res-b.res)) })
	r := &rows{}
	for i, a := range all {
		r.add(min(i, len(all)-1-i), a.x, []float64{1}, a.y, 1)
	}
	return r
}

// Wampler's first polynomial is reproduced exactly: that is an error, not a
// model with a scatter of rounding.
func TestExactPolynomial(t *testing.T) {
	r := &rows{}
	for i := range 21 {
		v, x, y := 1.0, make([]float64, 6), 0.0
		for j := range x {
			x[j] = v
			y += v
			v *= float64(i)
		}
		r.add(i%5, x, x[:1], y, 1)
	}
	_, err := Fit(r.sums(), REML)
	require.ErrorIs(t, err, ErrExactFit)
}
