package lifetime

import (
	"math"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
)

// TestConditionalQuantiles compares with scipy's weibull_min.
func TestConditionalQuantiles(t *testing.T) {
	for _, row := range rows(t, filepath.Join(kept, "conditional_reference.csv")) {
		w := Weibull{Shape: number(t, row["shape"]), Scale: number(t, row["scale"])}
		age, p := number(t, row["age"]), number(t, row["p"])
		got := w.CondQuantile(age, p)
		close(t, number(t, row["remaining"]), got, 1e-9, row["age"])
		assert.InDelta(t, 1-p, w.CondSurvival(age, got), 1e-12)
	}
}

// TestAgainstDistuv uses gonum's law away from shape or scale 1.
func TestAgainstDistuv(t *testing.T) {
	for _, shape := range []float64{0.3, 0.9, 1.7, 12} {
		for _, scale := range []float64{0.02, 37, 5e6} {
			ours, theirs := Weibull{shape, scale}, distuv.Weibull{K: shape, Lambda: scale}
			close(t, theirs.Mean(), ours.Mean(), 1e-12, "mean")
			for _, p := range []float64{0.001, 0.1, 0.5, 0.95} {
				age := theirs.Quantile(p)
				close(t, age, ours.Quantile(p), 1e-12, "quantile")
				close(t, theirs.Survival(age), ours.Survival(age), 1e-12, "survival")
				more := scale / 3
				close(t, theirs.Survival(age+more)/theirs.Survival(age), ours.CondSurvival(age, more), 1e-9, "conditional")
				// Remaining life by the unconditional formula.
				q := 0.7
				want := theirs.Quantile(1-(1-q)*theirs.Survival(age)) - age
				close(t, want, ours.CondQuantile(age, q), 1e-7, "conditional quantile")
			}
		}
	}
}

func TestConditionalFromNewIsUnconditional(t *testing.T) {
	w := Weibull{Shape: 2.3, Scale: 41}
	for _, p := range []float64{0, 1e-300, 1e-9, 0.5, 1 - 1e-16, 1} {
		assert.Equal(t, w.Quantile(p), w.CondQuantile(0, p))
		if p >= 1e-9 && p < 1 {
			close(t, w.Quantile(p), w.CondQuantile(1e-30, p), 1e-12, "all but new")
		}
	}
	assert.Equal(t, w.Survival(17), w.CondSurvival(0, 17))
}

// TestMemoryless: at shape 1 the age does not matter.
func TestMemoryless(t *testing.T) {
	w := Weibull{Shape: 1, Scale: 17.5}
	for _, age := range []float64{0, 1e-12, 3, 400, 1e9} {
		close(t, 17.5*math.Ln2, w.CondQuantile(age, 0.5), 1e-7, "half life")
		close(t, math.Exp(-2), w.CondSurvival(age, 35), 1e-7, "survival")
	}
}

func TestExtremes(t *testing.T) {
	w := Weibull{Shape: 3.2, Scale: 60}
	assert.Equal(t, 1.0, w.Survival(0))
	assert.Equal(t, 1.0, w.Survival(-4))
	assert.Zero(t, w.Survival(math.Inf(1)))
	assert.Zero(t, w.Survival(1e300))
	assert.False(t, math.Signbit(w.Quantile(0)), "a share of 0 is age 0, not -0")
	assert.True(t, math.IsInf(w.Quantile(1), 1))
	assert.True(t, math.IsNaN(w.Quantile(-0.1)))
	assert.True(t, math.IsNaN(w.Quantile(1.1)))
	assert.True(t, math.IsNaN(w.Quantile(math.NaN())))

	// A tiny share keeps its digits: 60 (1e-200)^(1/3.2).
	close(t, 60*math.Pow(10, -62.5), w.Quantile(1e-200), 1e-12, "tiny share")
	assert.Equal(t, 1.0, w.CondSurvival(1e200, 0))
	assert.Zero(t, w.CondSurvival(1e200, 1))

	// Far past any life the hazard is enormous and what is left tiny, yet
	// exact: r = -log(1-p)/h(age) to first order.
	age := 6e6
	hazard := 3.2 / 60 * math.Pow(age/60, 2.2)
	close(t, math.Ln2/hazard, w.CondQuantile(age, 0.5), 1e-9, "huge age")
	close(t, 0.5, w.CondSurvival(age, math.Ln2/hazard), 1e-9, "huge age, back")

	for _, bad := range []Weibull{{}, {1, -1}, {math.NaN(), 1}, {1, math.Inf(1)}} {
		assert.False(t, bad.Valid())
		for _, v := range []float64{bad.Survival(1), bad.Quantile(0.5), bad.Mean(), bad.CondSurvival(1, 1), bad.CondQuantile(1, 0.5)} {
			assert.True(t, math.IsNaN(v))
		}
	}
}

func TestDrawRemaining(t *testing.T) {
	w := Weibull{Shape: 2.4, Scale: 50}
	rng := rand.New(rand.NewPCG(5, 6))
	const draws = 200_000
	for _, age := range []float64{0, 35, 90} {
		below := 0
		median := w.CondQuantile(age, 0.25)
		for range draws {
			r := w.DrawRemaining(age, rng)
			require.GreaterOrEqual(t, r, 0.0)
			if r < median {
				below++
			}
		}
		assert.InDelta(t, 0.25, float64(below)/draws, 5*math.Sqrt(0.25*0.75/draws))
	}
	again := rand.New(rand.NewPCG(5, 6))
	rng = rand.New(rand.NewPCG(5, 6))
	assert.Equal(t, w.DrawRemaining(9, rng), w.DrawRemaining(9, again))
}
