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
	f, err := os.Open("../../../testdata/runlength/bernoulli_exact.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 10)
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
