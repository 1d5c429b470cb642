package runlength

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Values by testdata/runlength/bernoulli_exact.py: the chart's equations solved
// in rational numbers by another program.
func TestBernoulliAgainstRationalArithmetic(t *testing.T) {
	compareBernoulli(t, "bernoulli_exact.csv", 9)
}

// Values by arlCusum of R's surveillance 1.20.3, a Markov chain for CUSUMs of
// binomial counts after Hawkins & Olwell 1998, by other hands than ours
// (testdata/runlength/bernoulli_surveillance.R).
func TestBernoulliAgainstSurveillance(t *testing.T) {
	compareBernoulli(t, "bernoulli_surveillance.csv", 14)
}

// compareBernoulli reads p, up, down, limit and average, which may be fractions.
func compareBernoulli(t *testing.T, name string, charts int) {
	t.Helper()
	f, err := os.Open("../../../testdata/runlength/" + name)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, charts+1)
	number := func(s string) float64 {
		over, under, isRatio := strings.Cut(s, "/")
		v, err := strconv.ParseFloat(over, 64)
		require.NoError(t, err)
		if isRatio {
			d, err := strconv.ParseFloat(under, 64)
			require.NoError(t, err)
			v /= d
		}
		return v
	}
	for _, r := range rows[1:] {
		b := Bernoulli{Up: int(number(r[1])), Down: int(number(r[2]))}
		require.InEpsilon(t, number(r[4]), b.ANSS(number(r[0]), int(number(r[3]))), 1e-9, "%v", r)
	}
}
