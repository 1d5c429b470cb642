package robust

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestWeights(t *testing.T) {
	for _, c := range []struct {
		name   string
		weight Weight
		bend   float64
		power  float64 // of bend/z beyond the bend
	}{
		{"Huber", Huber(HuberK), 1.345, 1},
		{"clipped", Clipped(ClippedC), 3, 4},
		{"clipped early", Clipped(0.5), 0.5, 4},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Equal(t, 1.0, c.weight(0))
			require.Equal(t, 1.0, c.weight(c.bend), "the bend itself is not far")
			require.InEpsilon(t, math.Pow(0.1, c.power), c.weight(10*c.bend), 1e-14)
			require.InDelta(t, 1, c.weight(c.bend*(1+1e-9)), 1e-8, "no jump")
			require.GreaterOrEqual(t, c.weight(math.MaxFloat64), 0.0)
			require.Zero(t, c.weight(math.Inf(1)))
			last := 1.0
			for z := 0.0; z < 100; z += 0.01 {
				w := c.weight(z)
				require.LessOrEqual(t, w, last)
				require.Greater(t, w, 0.0)
				last = w
			}
		})
	}
}

// By hand: sizes 1, 2, 3, 10 have the median 2.5; with a fifth, 3.
func TestMAD(t *testing.T) {
	r := []float64{-10, 1, 3, -2}
	require.InEpsilon(t, 2.5*1.4826022185056018, MAD(r), 1e-15)
	require.Equal(t, []float64{-10, 1, 3, -2}, r, "left as they are")
	require.InEpsilon(t, 3*1.4826022185056018, MAD(append(r, 4)), 1e-15)
	require.Zero(t, MAD([]float64{0, 0, 5}))
	require.True(t, math.IsNaN(MAD(nil)))
	require.InEpsilon(t, 1/math.Sqrt2/math.Erfinv(0.5), normalMAD, 1e-15)
}

// On normal residuals it is the standard deviation. With 40 % of them wild it is
// the size below which 0.5/0.6 of the others lie, 2.05 times as much.
func TestMADOfNormalResiduals(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 9))
	x := make([]float64, 100001)
	for i := range x {
		x[i] = 7 * r.NormFloat64()
	}
	require.InEpsilon(t, 7, MAD(x), 0.01) // standard error 0.26 %
	for i := range 40000 {
		x[i] *= 1e9
	}
	require.InEpsilon(t, 7*math.Erfinv(0.5/0.6)/math.Erfinv(0.5), MAD(x), 0.01)
}
