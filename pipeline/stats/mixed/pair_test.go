package mixed

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// What is written out for two random effects gives what the general way gives.
func TestPairIsTheGeneralWay(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 2))
	compared := 0
	for _, c := range []Criterion{REML, ML} {
		for range 50 {
			d := sample(r)
			if d.q != 2 {
				continue
			}
			k, _, err := prepare(d.sums(), c)
			if err != nil {
				continue
			}
			compared++
			lam := square3{3 * r.NormFloat64(), r.NormFloat64(), r.NormFloat64(), 3 * r.NormFloat64()}
			general, pair := k.newState(), k.newState()
			k.eval(pair, &lam, 0) // sets root and inv
			near(t, k.whiten(general, &lam), k.whitenPair(pair, &lam), 1e-12, 1)
			require.InDeltaSlice(t, general.wa, pair.wa, 1e-10)
			require.InDeltaSlice(t, general.b, pair.b, 1e-9)
			for i, v := range general.s {
				near(t, v, pair.s[i], 1e-11, 1)
			}
			copy(general.root, pair.root)
			general.inv = pair.inv
			k.derive(general, 1.7)
			k.derivePair(pair, 1.7)
			for i, v := range general.m {
				near(t, v, pair.m[i], 1e-9, 1)
			}
		}
	}
	require.Greater(t, compared, 20)
}
