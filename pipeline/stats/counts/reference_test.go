package counts

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const testdata = "../../../testdata/counts"

func records(t *testing.T, name string) [][]string {
	t.Helper()
	file, err := os.Open(filepath.Join(testdata, name))
	require.NoError(t, err)
	defer file.Close()
	lines, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	return lines[1:]
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

// reference are the values by R, "fit/what" to value: see testdata/counts/counts.R.
func reference(t *testing.T) map[string]float64 {
	out := map[string]float64{}
	for _, r := range records(t, "reference.csv") {
		out[r[0]+"/"+r[1]] = number(t, r[2])
	}
	return out
}

// published reads a dataset: the count first, then exposure where it has one,
// then the covariates.
func published(t *testing.T, name string, exposed bool) Data {
	var d Data
	for _, r := range records(t, name+".csv") {
		x := []float64{1}
		d.Y = append(d.Y, number(t, r[0]))
		rest := r[1:]
		if exposed {
			d.Offset = append(d.Offset, math.Log(number(t, r[1])))
			rest = r[2:]
		}
		for _, c := range rest {
			x = append(x, number(t, c))
		}
		d.X = append(d.X, x)
	}
	return d
}

func requireFit(t *testing.T, ref map[string]float64, name string, f Fit) {
	t.Helper()
	for j, b := range f.Beta {
		n := strconv.Itoa(j + 1)
		require.InDelta(t, ref[name+"/b"+n], b, 1e-7, "%s, coefficient %s", name, n)
		require.InEpsilon(t, ref[name+"/se"+n], f.SE(j), 1e-6, "%s, error %s", name, n)
	}
	require.InDelta(t, ref[name+"/loglik"], f.LogLik, 1e-8, name)
}

// Against glm and glm.nb of R on published data.
func TestRegressionsAgainstR(t *testing.T) {
	ref := reference(t)
	for _, name := range []string{"quine", "warpbreaks"} {
		d := published(t, name, false)
		f, err := Poisson(d)
		require.NoError(t, err)
		requireFit(t, ref, name+"_poisson", f)
		f, err = NegativeBinomial(d)
		require.NoError(t, err)
		requireFit(t, ref, name+"_negbin", f)
		require.InEpsilon(t, ref[name+"_negbin/theta"], f.Theta, 1e-7, name)
		// R takes the information of θ at its last step but one.
		require.InEpsilon(t, ref[name+"_negbin/theta_se"], f.ThetaSE, 1e-5, name)
	}
	f, err := Poisson(published(t, "insurance", true))
	require.NoError(t, err)
	requireFit(t, ref, "insurance_poisson", f)
}

// Against a mode that R's optim found for likelihood times beliefs.
func TestBeliefsAgainstR(t *testing.T) {
	ref := reference(t)
	d := published(t, "warpbreaks", false)
	d.Belief = []float64{10, 0.5, 0.1, 0.1}
	for name, theta := range map[string]float64{"Inf": math.Inf(1), "10": 10} {
		f, err := WithSpread(d, theta)
		require.NoError(t, err)
		for j, b := range f.Beta {
			require.InDelta(t, ref["belief_"+name+"/b"+strconv.Itoa(j+1)], b, 2e-6)
		}
	}
}

func TestLawsAgainstR(t *testing.T) {
	checked := 0
	for key, want := range reference(t) {
		fields := strings.FieldsFunc(key, func(r rune) bool { return r == ' ' || r == '/' })
		if fields[0] != "law" {
			continue
		}
		checked++
		l := Law{Mean: number(t, fields[1]), Size: number(t, fields[2])}
		at := number(t, fields[4])
		switch fields[3] {
		case "log":
			require.InEpsilon(t, want, l.LogProb(at), 1e-10, key)
		case "cdf":
			require.InEpsilon(t, want, l.CDF(at), 1e-10, key)
		case "quantile":
			require.Equal(t, want, l.Quantile(at), key)
		}
	}
	require.Equal(t, 144, checked)
}

// The newsvendor's quantile of a count, against qnbinom and qpois.
func TestNewsvendorOfCountsAgainstR(t *testing.T) {
	ref := reference(t)
	for _, c := range []struct{ short, spare float64 }{{10, 5}, {90, 10}, {1, 3}} {
		key := strconv.Itoa(int(c.short)) + " " + strconv.Itoa(int(c.spare))
		p := c.short / (c.short + c.spare)
		require.Equal(t, ref["newsvendor_negbin/"+key], Law{Mean: 12, Size: 4}.Quantile(p))
		require.Equal(t, ref["newsvendor_poisson/"+key], Law{Mean: 3.2, Size: math.Inf(1)}.Quantile(p))
	}
}

// Deaths by horse kick in the Prussian army, 200 corps-years (Bortkiewicz 1898,
// Das Gesetz der kleinen Zahlen; from memory): the closed form is a mean of
// 122/200 with a standard error of √(0.61/200), and the published expected
// numbers of years are 108.7, 66.3, 20.2, 4.1, 0.6.
func TestHorseKicks(t *testing.T) {
	var d Data
	for deaths, years := range []int{109, 65, 22, 3, 1} {
		for range years {
			d.Y, d.X = append(d.Y, float64(deaths)), append(d.X, []float64{1})
		}
	}
	f, err := Poisson(d)
	require.NoError(t, err)
	require.InDelta(t, math.Log(0.61), f.Beta[0], 1e-10)
	require.InDelta(t, 1/math.Sqrt(122), f.SE(0), 1e-10)
	for k, want := range []float64{108.7, 66.3, 20.2, 4.1, 0.6} {
		require.InDelta(t, want, 200*math.Exp(Law{Mean: 0.61, Size: f.Theta}.LogProb(float64(k))), 0.05)
	}
	nb, err := NegativeBinomial(d)
	require.NoError(t, err)
	require.Less(t, f.AICc(), nb.AICc(), "the textbook case of Poisson")
}

func TestSpreadIsFoundOrNot(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for _, theta := range []float64{3, math.Inf(1)} {
		var d Data
		for i := range 3000 {
			x := float64(i%3) - 1
			d.X = append(d.X, []float64{1, x})
			d.Offset = append(d.Offset, math.Log(1+float64(i%5)))
			d.Y = append(d.Y, Law{Mean: math.Exp(1.2 + 0.4*x + d.Offset[i]), Size: theta}.Draw(rng))
		}
		f, err := NegativeBinomial(d)
		require.NoError(t, err)
		require.InDelta(t, 1.2, f.Beta[0], 0.05)
		require.InDelta(t, 0.4, f.Beta[1], 0.05)
		p, err := Poisson(d)
		require.NoError(t, err)
		if math.IsInf(theta, 1) {
			require.Greater(t, f.Theta, 100.0)
		} else {
			require.InDelta(t, theta, f.Theta, 0.35)
			require.Less(t, f.AICc(), p.AICc())
		}
	}
}

// The integral of likelihood times belief, by quadrature over a grid.
func TestIntegratedLikelihood(t *testing.T) {
	d := Data{Y: []float64{7, 11, 9, 14}, X: [][]float64{{1}, {1}, {1}, {1}}, Belief: []float64{3}}
	for _, theta := range []float64{5, math.Inf(1)} {
		f, err := WithSpread(d, theta)
		require.NoError(t, err)
		var sum float64
		const step = 1e-4
		for b := -5.0; b < 8; b += step {
			sum += step * math.Exp(d.logLik(d.means([]float64{b}), theta)-b*b/18) / (3 * math.Sqrt(2*math.Pi))
		}
		require.InDelta(t, math.Log(sum), f.LogMarg, 0.03)
	}
}

func TestDrawsHaveTheLawsMoments(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	f, err := NegativeBinomial(published(t, "quine", false))
	require.NoError(t, err)
	const n = 20000
	var a, b, ab float64
	for range n {
		x := f.Draw(rng)
		u, v := x[0]-f.Beta[0], x[4]-f.Beta[4]
		a, b, ab = a+u*u/n, b+v*v/n, ab+u*v/n
	}
	require.InEpsilon(t, f.Cov.At(0, 0), a, 0.04)
	require.InEpsilon(t, f.Cov.At(4, 4), b, 0.04)
	require.InEpsilon(t, f.Cov.At(0, 4), ab, 0.08)
}

func TestWhatCannotBeFitted(t *testing.T) {
	one := [][]float64{{1}, {1}}
	_, err := Poisson(Data{})
	require.Error(t, err)
	for _, y := range [][]float64{{1, -1}, {1, 0.5}, {1, math.NaN()}, {1, math.Inf(1)}} {
		_, err := NegativeBinomial(Data{Y: y, X: one})
		require.Error(t, err)
	}
	_, err = Poisson(Data{Y: []float64{1, 2}, X: [][]float64{{1, 2}, {1, 2}}})
	require.ErrorIs(t, err, ErrNotFixed)
	f, err := Poisson(Data{Y: []float64{0, 0}, X: one, Belief: []float64{10}})
	require.NoError(t, err, "no pours at all, but a belief")
	require.Less(t, f.Beta[0], -1.0)
	f, err = NegativeBinomial(Data{Y: []float64{4, 4, 4, 4}, X: [][]float64{{1}, {1}, {1}, {1}}})
	require.NoError(t, err)
	require.True(t, math.IsInf(f.Theta, 1), "less scatter than Poisson's")
}
