package runlength

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// table reads a CSV of numbers from testdata/runlength (sources in SOURCES.md
// there) by column; what is no number is NaN.
func table(t *testing.T, name string) map[string][]float64 {
	t.Helper()
	file, err := os.Open(filepath.Join("../../../testdata/runlength", name))
	require.NoError(t, err)
	defer file.Close()
	cells, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	columns := map[string][]float64{}
	for _, row := range cells[1:] {
		for i, cell := range row {
			v, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				v = math.NaN()
			}
			columns[cells[0][i]] = append(columns[cells[0][i]], v)
		}
	}
	return columns
}

// TestAgainstSpc compares with R's spc::xcusum.arl.
func TestAgainstSpc(t *testing.T) {
	columns := table(t, "arl_cusum_k0.5.csv")
	require.Len(t, columns["mu"], 11)
	for i, mu := range columns["mu"] {
		for column, h := range map[string]float64{"h4": 4, "h5": 5} {
			up, down := ARL(0.5, h, mu), ARL(0.5, h, -mu)
			assert.InEpsilon(t, columns[column+"_one"][i], up, 1e-9, "one-sided, limit %g, shift %g", h, mu)
			// Either side may signal first: the rates add up.
			assert.InEpsilon(t, columns[column+"_two"][i], 1/(1/up+1/down), 1e-9, "two-sided, limit %g, shift %g", h, mu)
		}
		// As printed, three figures: Lucas & Crosier, Technometrics 24, 1982.
		printed := columns["LucasCrosier1982_h4"][i]
		assert.InEpsilon(t, printed, 1/(1/ARL(0.5, 4, mu)+1/ARL(0.5, 4, -mu)), 0.005, "shift %g", mu)
	}
}

// TestPrintedRunLengths holds one-sided run lengths as printed in the papers
// (collected in the examples of R's spc::xcusum.arl).
func TestPrintedRunLengths(t *testing.T) {
	for _, c := range []struct {
		source         string
		k, h, shift    float64
		printed, digit float64 // digit: relative
	}{
		{"Brook & Evans 1972, by their coarser chain", 0.5, 3, 0, 117.59, 2e-3},
		{"Brook & Evans 1972, by their coarser chain", 0.5, 3, 1.5, 3.75, 2e-3},
		{"Waldmann 1986", 0.5, 3, -0.5, 1963, 5e-4},
		{"Waldmann 1986", 0.5, 3, 0, 117.4, 2e-3},
		{"Waldmann 1986", 0.5, 3, 0.5, 17.35, 2e-3},
		{"Vance 1986; 2071.572 in high precision", 0, 10, -0.25, 2071.51, 5e-5},
		{"Vance 1986", 0, 10, -0.125, 400.28, 2e-5},
		{"Vance 1986", 0, 10, 0, 124.66, 5e-5},
		{"Vance 1986", 0, 10, 0.125, 59.30, 1e-4},
		{"Vance 1986", 0, 10, 0.25, 36.71, 2e-4},
		{"Vance 1986", 0, 10, 0.5, 20.37, 3e-4},
		{"Vance 1986", 0, 10, 0.75, 14.06, 4e-4},
		{"Vance 1986", 0, 10, 1, 10.75, 5e-4},
	} {
		assert.InEpsilon(t, c.printed, ARL(c.k, c.h, c.shift), c.digit, "%s: %+v", c.source, c)
	}
}

// brookEvans is the run length by another road: the Markov chain on m equal
// classes of Brook & Evans, Biometrika 59, 1972, solved as linear equations.
func brookEvans(t *testing.T, k, h, shift float64, m int) float64 {
	t.Helper()
	width := 2 * h / float64(2*m-1)
	q, ones := mat.NewDense(m, m, nil), mat.NewVecDense(m, nil)
	for i := range m {
		ones.SetVec(i, 1)
		for j := range m {
			at := float64(j-i)*width + k - shift
			p := below(at + width/2)
			if j > 0 {
				p -= below(at - width/2)
			}
			q.Set(i, j, -p)
		}
		q.Set(i, i, q.At(i, i)+1)
	}
	var steps mat.VecDense
	require.NoError(t, steps.SolveVec(q, ones))
	return steps.AtVec(0)
}

// TestLongRunsKeepTheirDigits compares with the integral equation solved in
// 320-digit arithmetic (testdata/runlength/high_precision_arl.py): even runs of
// 10^13 observations are right to twelve digits.
func TestLongRunsKeepTheirDigits(t *testing.T) {
	columns := table(t, "arl_high_precision.csv")
	require.Len(t, columns["arl"], 5)
	for i, want := range columns["arl"] {
		assert.InEpsilon(t, want, ARL(columns["k"][i], columns["h"][i], columns["shift"][i]), 1e-12)
	}
}

func TestAgainstMarkovChain(t *testing.T) {
	for _, k := range []float64{0, 0.25, 0.5, 1.2} {
		for _, h := range []float64{0.3, 1, 2.5, 6} {
			for _, shift := range []float64{-0.3, 0, 0.4, 2} {
				// The error of the chain falls with the square of its classes.
				coarse, fine := brookEvans(t, k, h, shift, 100), brookEvans(t, k, h, shift, 200)
				want := fine + (fine-coarse)/3
				assert.InEpsilon(t, want, ARL(k, h, shift), 2e-4, "k %g, h %g, shift %g", k, h, shift)
			}
		}
	}
}

func TestBySimulation(t *testing.T) {
	rng := rand.New(rand.NewPCG(1954, 2))
	for _, c := range []struct{ k, h, shift float64 }{{0.5, 4, 0}, {0.5, 4, 1}, {0.25, 3, 0.25}, {1, 0, 0}, {0.5, 40, 3}} {
		const runs = 4000
		sum, squares := 0.0, 0.0
		for range runs {
			s, n := 0.0, 0.0
			for ; s <= c.h; n++ {
				s = max(0, s+rng.NormFloat64()+c.shift-c.k)
			}
			sum += n
			squares += n * n
		}
		mean := sum / runs
		se := math.Sqrt((squares/runs - mean*mean) / runs)
		assert.InDelta(t, mean, ARL(c.k, c.h, c.shift), 4*se, "%+v", c)
	}
}

func TestEnds(t *testing.T) {
	// With limit 0 the first observation above k signals: a geometric law.
	assert.InEpsilon(t, 1/0.15865525393145707, ARL(1, 0, 0), 1e-12)
	assert.InEpsilon(t, ARL(1, 0, 0), ARL(1, 1e-9, 0), 1e-6, "continuous at limit 0")
	// A shift is the same as a smaller reference value.
	assert.InEpsilon(t, ARL(0.5, 4, 0.2), ARL(0.3, 4, 0), 1e-12)
	// Steady and far: the sum climbs by 2.5 a step, with one over the limit.
	assert.InEpsilon(t, 1000/2.5, ARL(0.5, 1000, 3), 0.005)
	assert.Equal(t, 1.0, ARL(0.5, 4, 100))
	assert.True(t, math.IsInf(ARL(0.5, 4, -100), 1))
	assert.True(t, math.IsInf(ARL(0.5, 1000, 0), 1))
	nan, inf := math.NaN(), math.Inf(1)
	for _, bad := range [][3]float64{{nan, 4, 0}, {0.5, nan, 0}, {0.5, 4, nan}, {inf, 4, 0}, {inf, 4, inf}, {0.5, -1, 0}, {0.5, inf, 0}, {0.5, 1001, 0}} {
		assert.True(t, math.IsNaN(ARL(bad[0], bad[1], bad[2])), "%v", bad)
	}
}

// TestLimitAgainstSpc: the two-sided limits for 370 are one-sided ones for 740.
func TestLimitAgainstSpc(t *testing.T) {
	columns := table(t, "cusum_h_for_arl370.csv")
	require.Len(t, columns["k"], 6)
	for i, k := range columns["k"] {
		h, err := Limit(k, 740)
		require.NoError(t, err)
		assert.InDelta(t, columns["h_spc"][i], h, 1e-6, "k %g", k)
		// As printed, three figures: Hawkins, J. Qual. Technol. 25, 1993.
		assert.InDelta(t, columns["h_ARL370_published_Hawkins1993"][i], h, 0.01, "k %g", k)
		assert.InEpsilon(t, columns["arl_at_published"][i], ARL(k, columns["h_ARL370_published_Hawkins1993"][i], 0)/2, 1e-8)
	}
}

func TestLimitRoundTrip(t *testing.T) {
	for _, k := range []float64{0, 0.1, 0.5, 1, 2} {
		for _, arl := range []float64{50, 500, 1e5} {
			h, err := Limit(k, arl)
			require.NoError(t, err)
			assert.InEpsilon(t, arl, ARL(k, h, 0), 1e-8, "k %g, run %g", k, arl)
		}
	}
	h, err := Limit(5, 1e300)
	require.NoError(t, err)
	assert.InEpsilon(t, 1e300, ARL(5, h, 0), 1e-8)
	h, err = Limit(1, ARL(1, 0, 0))
	require.NoError(t, err)
	assert.InDelta(t, 0, h, 1e-9)
}

func TestLimitOutOfReach(t *testing.T) {
	for _, c := range []struct {
		k, arl float64
		says   string
	}{
		{-1, 500, "reference value"}, {math.NaN(), 500, "reference value"}, {6, 500, "reference value"},
		{0.5, 0, "at least 1"}, {0.5, math.NaN(), "at least 1"}, {0.5, math.Inf(1), "at least 1"},
		{0.5, 3, "cannot be as short"}, {4, 500, "cannot be as short"}, {0, 1e12, "larger reference value"},
	} {
		_, err := Limit(c.k, c.arl)
		require.ErrorContains(t, err, c.says, "%+v", c)
	}
}
