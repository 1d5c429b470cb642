package robust_test

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/stats/mixed"
	"moldwright/pipeline/stats/robust"
)

const testdata = "../../../testdata"

// data are rows to fit by least squares (q = 0) or by a mixed model.
type data struct {
	x, z  [][]float64
	y     []float64
	group []int
}

// fitter fits by REML and keeps the model.
func (d *data) fitter(into **mixed.Model) robust.Fit {
	return func(weights []float64) ([]float64, error) {
		sums := mixed.NewSums(len(d.x[0]), len(d.z[0]))
		for i := range d.y {
			sums.Add(d.group[i], d.x[i], d.z[i], d.y[i], weights[i])
		}
		m, err := mixed.Fit(sums, mixed.REML)
		if err != nil {
			return nil, err
		}
		*into = m
		residuals := make([]float64, len(d.y))
		for i := range residuals {
			fitted, _ := m.Predict(d.group[i], d.x[i], d.z[i])
			residuals[i] = d.y[i] - fitted
		}
		return residuals, nil
	}
}

// rlmScale is the scale of MASS::rlm, which rounds the constant.
func rlmScale(residuals []float64) float64 {
	const exact = 0.67448975019608174
	return robust.MAD(residuals) * exact / 0.6745
}

// The reference is testdata/robust/robust_fits.json: R's MASS 7.3-58.2, rlm, and
// the same reweighting around lme4 1.1-31. Huber on stackloss is also in
// Venables & Ripley (2002), Modern Applied Statistics with S, section 6.5.
func TestAgainstRlm(t *testing.T) {
	for _, want := range references(t) {
		t.Run(want.Name+" "+want.Weight, func(t *testing.T) {
			s := robust.Settings{Weight: robust.Huber(robust.HuberK), Scale: rlmScale, Rounds: 500, Settled: 1e-12}
			if want.Weight == "clipped" {
				s.Weight = robust.Clipped(robust.ClippedC)
			}
			tolerance := 1e-9
			if want.SD != nil {
				s.Settled, tolerance = 1e-9, 2e-6 // lme4 finds its variances to about 7 digits
			}
			d := want.data(t)
			var m *mixed.Model
			out, err := robust.Reweight(len(d.y), s, d.fitter(&m))
			require.NoError(t, err)
			require.True(t, out.Settled, "%d rounds", out.Rounds)
			require.InEpsilon(t, want.Scale, out.Scale, tolerance)
			for j := range want.Beta {
				require.InEpsilon(t, want.Beta[j], m.Beta[j], tolerance, "coefficient %d", j)
			}
			require.InDeltaSlice(t, want.Weights, out.Weights, tolerance)
			if want.SD == nil {
				return
			}
			require.InEpsilon(t, want.Sigma, m.Sigma, tolerance)
			for k := range want.SD {
				require.InEpsilon(t, want.SD[k], m.SD(k), 10*tolerance)
			}
		})
	}
}

// The headline numbers once more, as digits anybody can look up: Huber's fit of
// stackloss by rlm.
func TestStacklossHeadline(t *testing.T) {
	d := (&reference{Name: "stackloss"}).data(t)
	var m *mixed.Model
	s := robust.Settings{Weight: robust.Huber(robust.HuberK), Scale: rlmScale, Rounds: 500, Settled: 1e-12}
	out, err := robust.Reweight(len(d.y), s, d.fitter(&m))
	require.NoError(t, err)
	for j, want := range []float64{-41.0264853733, .8293857703, .9260594155, -.1278463180} {
		require.InDelta(t, want, m.Beta[j], 6e-11)
	}
	require.InDelta(t, 2.440489046, out.Scale, 6e-10)
}

type reference struct {
	Name, Weight  string
	Beta, Weights []float64
	Scale, Sigma  float64
	SD            []float64
}

func references(t *testing.T) (out []reference) {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join(testdata, "robust", "robust_fits.json"))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(raw, &out))
	require.Len(t, out, 8)
	return out
}

func (r *reference) data(t *testing.T) *data {
	t.Helper()
	d := &data{}
	switch r.Name {
	case "stackloss":
		for _, v := range numbers(t, "robust/stackloss.csv", "Air.Flow", "Water.Temp", "Acid.Conc.", "stack.loss") {
			d.add([]float64{1, v[0], v[1], v[2]}, nil, v[3], 0)
		}
	case "cars", "cars, two points slipped":
		for i, v := range numbers(t, "robust/cars.csv", "speed", "dist") {
			if r.Name != "cars" && (i == 9 || i == 29) {
				v[1] *= 10
			}
			d.add([]float64{1, v[0]}, nil, v[1], 0)
		}
	case "sleepstudy":
		for _, v := range numbers(t, "mixed/sleepstudy.csv", "Days", "Reaction", "Subject") {
			x := []float64{1, v[0]}
			d.add(x, x, v[1], int(v[2])-300)
		}
	}
	require.NotEmpty(t, d.y, r.Name)
	return d
}

func (d *data) add(x, z []float64, y float64, group int) {
	d.x, d.z, d.y, d.group = append(d.x, x), append(d.z, z), append(d.y, y), append(d.group, group)
}

// numbers reads columns of a file of testdata.
func numbers(t *testing.T, name string, columns ...string) (out [][]float64) {
	t.Helper()
	f, err := os.Open(filepath.Join(testdata, name))
	require.NoError(t, err)
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	for _, line := range lines[1:] {
		var row []float64
		for _, c := range columns {
			at := slices.Index(lines[0], c)
			require.GreaterOrEqual(t, at, 0, c)
			v, err := strconv.ParseFloat(line[at], 64)
			require.NoError(t, err)
			row = append(row, v)
		}
		out = append(out, row)
	}
	return out
}
