package plaster

import (
	"encoding/csv"
	"fmt"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
)

// Closed form of the normal newsvendor; values by scipy 1.10.1.
func TestNewsvendorQuantile(t *testing.T) {
	d := distuv.Normal{Mu: 100, Sigma: 20}
	for _, c := range []struct{ short, spare, want float64 }{
		{10, 5, 108.61454598590915},
		{90, 10, 125.63103131089201},
		{50, 2, 135.37650077037412},
		{1, 3, 86.51020499607837},
	} {
		require.InDelta(t, c.want, cheapestQuantity(d, stockCosts{unitShort: c.short, unitSpare: c.spare}), 1e-9)
	}
	// A vanishing cost of the shortage itself changes nothing.
	near := cheapestQuantity(d, stockCosts{unitShort: 10, unitSpare: 5, shortage: 1e-9})
	require.InDelta(t, 108.61454598590915, near, 1e-6)
}

// The same against qnorm of R 4.2.2: testdata/counts/counts.R.
func TestNewsvendorQuantileAgainstR(t *testing.T) {
	file, err := os.Open("../../testdata/counts/reference.csv")
	require.NoError(t, err)
	defer file.Close()
	lines, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	checked := 0
	for _, l := range lines {
		var c stockCosts
		if l[0] != "newsvendor_normal" {
			continue
		}
		_, err := fmt.Sscan(l[1], &c.unitShort, &c.unitSpare)
		require.NoError(t, err)
		want, err := strconv.ParseFloat(l[2], 64)
		require.NoError(t, err)
		require.InDelta(t, want, cheapestQuantity(distuv.Normal{Mu: 100, Sigma: 20}, c), 1e-9, l[1])
		checked++
	}
	require.Equal(t, 4, checked)
}

// The expected cost integrated and minimised numerically by R 4.2.2 (integrate, optimize).
func TestALostMoldAgainstASpareKilogram(t *testing.T) {
	for _, c := range []struct{ mu, sigma, lost, best, served float64 }{
		{0, 0.06, 1, 1.120904927990, 0.971432209303},
		{0.02, 0.1, 1, 1.195897648444, 0.943966500194},
		{-0.03, 0.05, 3, 1.098835328423, 0.993522729059},
		{0, 0.3, 1, 1.261651316227, 0.780752784973},
	} {
		d := distuv.LogNormal{Mu: c.mu, Sigma: c.sigma}
		got := cheapestQuantity(d, stockCosts{unitSpare: 1, shortage: c.lost})
		require.InDelta(t, c.best, got, 2e-6, "%+v", c)
		require.InDelta(t, c.served, d.CDF(got), 1e-5)
	}
}

// Kilograms or pounds: the advice is the same, because only ratios of money count.
func TestTheQuantityDoesNotDependOnTheUnit(t *testing.T) {
	kg := cheapestQuantity(distuv.Normal{Mu: 4, Sigma: 0.3}, stockCosts{unitSpare: 1, shortage: 4})
	lb := cheapestQuantity(distuv.Normal{Mu: 4 * 2.2, Sigma: 0.3 * 2.2}, stockCosts{unitSpare: 1 / 2.2, shortage: 4})
	require.InDelta(t, kg*2.2, lb, 1e-9)
}
