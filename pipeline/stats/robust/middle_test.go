package robust

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// The check value is the middle of the sorted values.
func TestMiddleIsThatOfSortedValues(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 8))
	for n := 1; n < 400; n++ {
		for _, different := range []int{1, 3, 50, 1 << 30} {
			values := make([]float64, n)
			for i := range values {
				values[i] = float64(rng.IntN(different)) - 7
			}
			if n%5 == 0 {
				slices.Sort(values)
			}
			sorted := slices.Sorted(slices.Values(values))
			want := sorted[n/2]
			if n%2 == 0 {
				want = (sorted[n/2-1] + sorted[n/2]) / 2
			}
			require.Equal(t, want, Middle(values))
			require.Equal(t, sorted, slices.Sorted(slices.Values(values)), "none lost")
		}
	}
	require.True(t, math.IsNaN(Middle(nil)))
}
