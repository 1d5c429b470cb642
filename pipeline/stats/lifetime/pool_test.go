package lifetime

import (
	"math"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func arm(t *testing.T, file, column, value, ended string) []Unit {
	return fromKept(t, file, func(row map[string]string) (Unit, bool) {
		return Unit{Exit: number(t, row["time"]), Ended: row[ended] == "1"}, row[column] == value
	})
}

// Against the hierarchical law by brute force in R (pooled_groups.R): no normal
// approximation, both ρ and what is shared integrated out on grids. Ours is a mode
// with a normal law about it, theirs a mean: of a few lives the mode of the shape
// lies above its mean, pooled or not, by about half a standard deviation at most.
func TestPooledGroupsAgainstBruteForce(t *testing.T) {
	m, n := arm(t, "aml.csv", "x", "Maintained", "status"), arm(t, "aml.csv", "x", "Nonmaintained", "status")
	g, c := arm(t, "gehan.csv", "treat", "6-MP", "cens"), arm(t, "gehan.csv", "treat", "control", "cens")
	late := []Unit{{Exit: 3 * c[0].Exit}, {Exit: 3 * c[1].Exit, Ended: true}}
	sets := map[string][][]Unit{"two": {m, n}, "four": {m, n, g[:4], c[:3]}, "apart": {g, c, late}}
	prior := Prior{Shape: LogNormal{Median: 2, SDLog: 0.5446}, Scale: LogNormal{Median: 20, SDLog: 0.5}}
	fits := map[string][]Fit{}
	for name, groups := range sets {
		priors := make([]Prior, len(groups))
		for k := range priors {
			priors[k] = prior
		}
		got, err := FitPooled(groups, priors)
		require.NoError(t, err)
		fits[name] = got
	}
	for _, row := range rows(t, filepath.Join(kept, "pooled_groups.csv")) {
		value := func(column string) float64 { return number(t, strings.TrimSpace(row[column])) }
		name := strings.TrimSpace(row["set"])
		f := fits[name][int(value("group"))-1]
		apart, err := FitWeibull(sets[name][int(value("group"))-1], prior)
		require.NoError(t, err)
		sd := value("log_scale_sd")
		assert.InDelta(t, value("log_scale"), math.Log(f.Scale), 0.3*sd, name)
		assert.InEpsilon(t, sd, math.Sqrt(f.CovLog[1][1]), 0.2, name)
		if len(sets[name][int(value("group"))-1]) <= 3 { // pooling moved it to where R has it
			assert.Less(t, math.Abs(math.Log(f.Scale)-value("log_scale")), 0.3*math.Abs(math.Log(apart.Scale)-value("log_scale")), name)
		}
		assert.InDelta(t, value("log_shape"), math.Log(f.Shape), 0.55*value("log_shape_sd"), name)
		assert.InEpsilon(t, value("log_shape_sd"), math.Sqrt(f.CovLog[0][0]), 0.2, name)
	}
}

func lived(rng *rand.Rand, law Weibull, n int) []Unit {
	units := make([]Unit, n)
	for i := range units {
		units[i] = Unit{Exit: law.DrawRemaining(0, rng), Ended: true}
	}
	return units
}

func practice() []Prior {
	shape := Between(1, 6, 0.9)
	return []Prior{{Shape: shape, Scale: Between(20, 50, 0.9)}, {Shape: shape, Scale: Between(60, 170, 0.9)}}
}

// With many ended units the answer is the plain maximum of the likelihood.
func TestManyEndedUnitsOutweighPriorAndPool(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	groups := [][]Unit{lived(rng, Weibull{Shape: 2, Scale: 80}, 4000), lived(rng, Weibull{Shape: 3, Scale: 60}, 4000)}
	got, err := FitPooled(groups, practice())
	require.NoError(t, err)
	for k, f := range got {
		plain, err := FitWeibull(groups[k], Prior{})
		require.NoError(t, err)
		require.InEpsilon(t, plain.Shape, f.Shape, 0.002)
		require.InEpsilon(t, plain.Scale, f.Scale, 0.002)
		require.Less(t, f.PriorWeight+f.PoolWeight, 0.01)
	}
}

// A studio whose split molds live twice as long as common practice says: its other
// kind, of which none has ended, is expected to live longer, too.
func TestAGroupWithoutEndsLeansOnTheOthers(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 5))
	long := lived(rng, Weibull{Shape: 2.4, Scale: 70}, 30)
	young := []Unit{{Exit: 5}, {Exit: 9}}
	apart, err := FitWeibull(young, practice()[1])
	require.NoError(t, err)
	got, err := FitPooled([][]Unit{long, young}, practice())
	require.NoError(t, err)
	require.Greater(t, got[1].Scale, 1.1*apart.Scale)
	require.Less(t, got[1].Scale, 2*apart.Scale)
	require.Greater(t, got[1].PoolWeight, 0.2)
	require.Greater(t, got[1].PriorWeight, 0.2)
	require.LessOrEqual(t, got[1].PriorWeight+got[1].PoolWeight, 1.0)
	require.Zero(t, apart.PoolWeight)
}

// Groups of which nothing is known keep their priors, and one group alone its fit.
func TestPoolingNothingChangesNothing(t *testing.T) {
	got, err := FitPooled([][]Unit{nil, nil}, practice())
	require.NoError(t, err)
	for k, f := range got {
		require.InEpsilon(t, practice()[k].Scale.Median, f.Scale, 1e-6)
		require.InDelta(t, 1, f.PriorWeight, 1e-6)
		require.InDelta(t, 0, f.PoolWeight, 1e-6)
	}
	alone, err := FitWeibull(gehan(t, "6-MP"), practice()[0])
	require.NoError(t, err)
	got, err = FitPooled([][]Unit{gehan(t, "6-MP")}, practice()[:1])
	require.NoError(t, err)
	require.Equal(t, alone, got[0])
	_, err = FitPooled([][]Unit{{{Exit: -1}}, nil}, practice())
	require.Error(t, err)
}

// Three groups by hand: with everything shared but for what each observation's own
// noise, u is the weighted mean drawn in to 0.
func TestCommonByHand(t *testing.T) {
	all := []told{{distance: 1, precision: 4, belief: 1}, {distance: 2, precision: 4, belief: 1}, {belief: 1}}
	mean, variance := common(all, 2, 0.5) // each observation: variance ¼ + ½
	require.InDelta(t, 1/(2+2/0.75), variance, 1e-12)
	require.InDelta(t, (1+2)/0.75/(2+2/0.75), mean, 1e-12)
	mean, _ = common(all, 0, 0.5)
	require.InDelta(t, 2/0.75/(2+1/0.75), mean, 1e-12)
	// The marginal likelihood against the two-dimensional normal law written out.
	v, c := 0.25+1.0, 0.5
	det := v*v - c*c
	quad := (v*1 - 2*c*2 + v*4) / det
	require.InDelta(t, -math.Log(det)/2-quad/2, marginal(all, 0.5), 1e-12)
}
