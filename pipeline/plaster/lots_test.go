package plaster

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestLotsAreThoseOfTheStandardLibrary(t *testing.T) {
	ours, theirs := newLots(3, 5), rand.New(rand.NewPCG(3, 5))
	for i := range 20_000 {
		n := 1 + i%1000
		if i%3 == 0 {
			n = 1<<62 + i // some draws are drawn again
		}
		require.Equal(t, theirs.IntN(n), ours.below(n))
		require.Equal(t, theirs.Float64(), ours.share())
		require.Equal(t, theirs.NormFloat64(), ours.NormFloat64())
	}
}
