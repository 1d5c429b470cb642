package plain

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/stretchr/testify/require"
)

// The check values are what strconv writes.
func TestNumbersAreWrittenInTheirShortestForm(t *testing.T) {
	is := func(x float64) {
		if want, got := strconv.FormatFloat(x, 'g', -1, 64), string(appendNumber(nil, x)); want != got {
			require.Equal(t, want, got)
		}
	}
	for n := range 200_000 {
		x := float64(n) / 1000
		for _, x := range []float64{x, -x, math.Nextafter(x, 0), math.Nextafter(x, 1e9), x * 499.99, 99_900 + x, x * 1e-3} {
			is(x)
		}
	}
	r := rand.New(rand.NewPCG(1, 2))
	for range 100_000 {
		is(r.NormFloat64() * math.Pow(10, float64(r.IntN(24)-10)))
	}
}

// The check values are what Arrow writes.
func TestDaysAreWrittenAsArrowWritesThem(t *testing.T) {
	for day := arrow.Date32(-800_000); day < 3_000_000; day += 13 {
		if want, got := day.FormattedString(), string(appendDay(nil, day)); want != got {
			require.Equal(t, want, got)
		}
	}
}
