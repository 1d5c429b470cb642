package mixed

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// certified is one of NIST's Statistical Reference Datasets for nonlinear
// least squares (https://www.itl.nist.gov/div898/strd/): the certified values,
// to 11 digits, and the two starts that NIST gives, the first far from them and
// the second near.
type certified struct {
	name     string
	curve    formula
	starts   [2][]float64
	beta, se []float64
	rss, sd  float64
}

var startNames = [2]string{" from the far start", " from the near start"}

// Of the 11 certified digits a fit must give 9: the data have rounding of their
// own, and so has the arithmetic of the curves.
const digitsAsked = 9

func TestNISTNonlinear(t *testing.T) {
	for _, c := range certifiedSets() {
		for k, start := range c.starts {
			t.Run(c.name+startNames[k], func(t *testing.T) {
				x, rows := c.data(t)
				fitted, err := FitNonlinear(rows, 0, start, c.curve.of(x), REML)
				require.NoError(t, err)
				beta, se := 11.0, 11.0
				for j := range c.beta {
					beta = min(beta, digits(c.beta[j], fitted.Beta[j]))
					se = min(se, digits(c.se[j], fitted.BetaSE()[j]))
				}
				sd, rss := digits(c.sd, fitted.Sigma), digits(c.rss, sumOfSquares(fitted))
				t.Logf("%d trial steps; digits: parameters %.1f, standard errors %.1f, residual standard deviation %.1f, sum of squares %.1f",
					fitted.Iterations, beta, se, sd, rss)
				assert.GreaterOrEqual(t, min(beta, se, sd, rss), float64(digitsAsked))
			})
		}
	}
}

// From starts up to a tenth away from NIST's in every parameter, the optimum is
// found too, but for a few that the ratios of cubics shut off: there a pole
// between two rows, or a local optimum, can lie in the way. What ends elsewhere
// must say so or end clearly above; it must not stop halfway.
func TestNISTNonlinearFromOtherStarts(t *testing.T) {
	const starts = 15
	asked := map[string]int{"Hahn1": starts / 2, "Thurber": starts / 2}
	r := rand.New(rand.NewPCG(3, 4))
	for _, c := range certifiedSets() {
		for k, near := range c.starts {
			t.Run(c.name+startNames[k], func(t *testing.T) {
				x, rows := c.data(t)
				found, elsewhere, lost := 0, 0, 0
				for range starts {
					start := make([]float64, len(near))
					for j := range start {
						start[j] = near[j] * (0.9 + 0.2*r.Float64())
					}
					fitted, err := FitNonlinear(rows, 0, start, c.curve.of(x), REML)
					switch {
					case err != nil:
						lost++
					case digits(c.rss, sumOfSquares(fitted)) >= digitsAsked:
						found++
					default:
						elsewhere++
						require.Greater(t, sumOfSquares(fitted), 1.05*c.rss)
					}
				}
				t.Logf("of %d starts %d came to the optimum, %d to another, %d gave up", starts, found, elsewhere, lost)
				least, special := asked[c.name]
				if !special {
					least = starts - 1
				}
				require.GreaterOrEqual(t, found, least)
			})
		}
	}
}

func sumOfSquares(m *Nonlinear) float64 { return m.Sigma * m.Sigma * m.ResidualDF }

// digits is how many decimal digits of want are in got, 11 at most.
func digits(want, got float64) float64 {
	if got == want {
		return 11
	}
	return min(11, -math.Log10(math.Abs(got-want)/math.Abs(want)))
}

func (c certified) data(t *testing.T) (x []float64, rows Rows) {
	t.Helper()
	var y []float64
	for _, rec := range reference(t, "nist_nls_"+c.name+".csv") {
		x, y = append(x, number(t, rec, "x")), append(y, number(t, rec, "y"))
	}
	return x, Rows{N: len(y), Group: func(int) int { return 0 }, Y: func(i int) float64 { return y[i] }}
}

// reference reads a published table that is not kept in the project, or skips.
func reference(t *testing.T, name string) []map[string]string {
	t.Helper()
	path := filepath.Join(fetched, name)
	if _, err := os.Stat(path); err != nil {
		if os.Getenv("MOLDWRIGHT_REFERENCE") == "required" {
			t.Fatal("the reference data is required and absent: ", path)
		}
		t.Skip("the reference data is absent: ", path)
	}
	return table(t, path)
}

func certifiedSets() []certified {
	return []certified{
		{name: "Bennett5", curve: shiftedPower,
			starts: [2][]float64{{-2000, 50, 0.8}, {-1500, 45, 0.85}},
			beta:   []float64{-2523.5058043, 46.736564644, 0.93218483193},
			se:     []float64{297.15175411, 1.2448871856, 0.020272299378}, rss: 0.00052404744073, sd: 0.0018629312528},
		{name: "BoxBOD", curve: rise,
			starts: [2][]float64{{1, 1}, {100, 0.75}},
			beta:   []float64{213.80940889, 0.54723748542},
			se:     []float64{12.354515176, 0.10455993237}, rss: 1168.0088766, sd: 17.088072423},
		{name: "Chwirut2", curve: decayOverLine,
			starts: [2][]float64{{0.1, 0.01, 0.02}, {0.15, 0.008, 0.01}},
			beta:   []float64{0.16657666537, 0.0051653291286, 0.012150007096},
			se:     []float64{0.03830328681, 0.00066621605126, 0.0015304234767}, rss: 513.04802941, sd: 3.171713304},
		{name: "DanWood", curve: power,
			starts: [2][]float64{{1, 5}, {0.7, 4}},
			beta:   []float64{0.76886226176, 3.8604055871},
			se:     []float64{0.01828197386, 0.051726610913}, rss: 0.0043173084083, sd: 0.032853114039},
		{name: "Eckerle4", curve: bell,
			starts: [2][]float64{{1, 10, 500}, {1.5, 5, 450}},
			beta:   []float64{1.5543827178, 4.0888321754, 451.54121844},
			se:     []float64{0.015408051163, 0.046803020753, 0.046800518816}, rss: 0.0014635887487, sd: 0.0067629245447},
		{name: "Hahn1", curve: ratio(3),
			starts: [2][]float64{{10, -1, 0.05, -1e-05, -0.05, 0.001, -1e-06}, {1, -0.1, 0.005, -1e-06, -0.005, 0.0001, -1e-07}},
			beta:   []float64{1.0776351733, -0.12269296921, 0.004086375061, -1.4262662514e-06, -0.0057609940901, 0.00024053735503, -1.2314450199e-07},
			se:     []float64{0.17070154742, 0.012000289189, 0.00022508314937, 2.7578037666e-07, 0.00024712888219, 1.0449373768e-05, 1.3027335327e-08}, rss: 1.5324382854, sd: 0.081803852243},
		{name: "Kirby2", curve: ratio(2),
			starts: [2][]float64{{2, -0.1, 0.003, -0.001, 1e-05}, {1.5, -0.15, 0.0025, -0.0015, 2e-05}},
			beta:   []float64{1.6745063063, -0.13927397867, 0.0025961181191, -0.001724181187, 2.1664802578e-05},
			se:     []float64{0.087989634338, 0.0041182041386, 4.1856520458e-05, 5.8931897355e-05, 2.0129761919e-07}, rss: 3.9050739624, sd: 0.16354535131},
		{name: "Lanczos3", curve: threeDecays,
			starts: [2][]float64{{1.2, 0.3, 5.6, 5.5, 6.5, 7.6}, {0.5, 0.7, 3.6, 4.2, 4, 6.3}},
			beta:   []float64{0.086816414977, 0.95498101505, 0.84400777463, 2.9515951832, 1.5825685901, 4.9863565084},
			se:     []float64{0.017197908859, 0.097041624475, 0.041488663282, 0.10766312506, 0.058371576281, 0.034436403035}, rss: 1.6117193594e-08, sd: 2.9923229172e-05},
		{name: "MGH09", curve: quadraticRatio,
			starts: [2][]float64{{25, 39, 41.5, 39}, {0.25, 0.39, 0.415, 0.39}},
			beta:   []float64{0.19280693458, 0.19128232873, 0.12305650693, 0.13606233068},
			se:     []float64{0.011435312227, 0.19633220911, 0.080842031232, 0.090025542308}, rss: 0.00030750560385, sd: 0.0066279236551},
		{name: "MGH10", curve: arrhenius,
			starts: [2][]float64{{2, 400000, 25000}, {0.02, 4000, 250}},
			beta:   []float64{0.005609636471, 6181.3463463, 345.22363462},
			se:     []float64{0.00015687892471, 23.309021107, 0.78486103508}, rss: 87.945855171, sd: 2.6009740065},
		{name: "MGH17", curve: twoDecays,
			starts: [2][]float64{{50, 150, -100, 1, 2}, {0.5, 1.5, -1, 0.01, 0.02}},
			beta:   []float64{0.37541005211, 1.9358469127, -1.4646871366, 0.01286753464, 0.022122699662},
			se:     []float64{0.0020723153551, 0.22031669222, 0.22175707739, 0.00044861358114, 0.00089471996575}, rss: 5.4648946975e-05, sd: 0.0013970497866},
		{name: "Misra1a", curve: rise,
			starts: [2][]float64{{500, 0.0001}, {250, 0.0005}},
			beta:   []float64{238.94212918, 0.00055015643181},
			se:     []float64{2.7070075241, 7.2668688436e-06}, rss: 0.12455138894, sd: 0.1018787633},
		{name: "Misra1b", curve: inverseSquareRise,
			starts: [2][]float64{{500, 0.0001}, {300, 0.0002}},
			beta:   []float64{337.99746163, 0.00039039091287},
			se:     []float64{3.1643950207, 4.2547321834e-06}, rss: 0.075464681533, sd: 0.079301471998},
		{name: "Rat43", curve: growth,
			starts: [2][]float64{{100, 10, 1, 1}, {700, 5, 0.75, 1.3}},
			beta:   []float64{699.6415127, 5.2771253025, 0.75962938329, 1.2792483859},
			se:     []float64{16.302297817, 2.0828735829, 0.19566123451, 0.68761936385}, rss: 8786.404908, sd: 28.262414662},
		{name: "Thurber", curve: ratio(3),
			starts: [2][]float64{{1000, 1000, 400, 40, 0.7, 0.3, 0.03}, {1300, 1500, 500, 75, 1, 0.4, 0.05}},
			beta:   []float64{1288.13968, 1491.0792535, 583.23836877, 75.416644291, 0.96629502864, 0.39797285797, 0.049727297349},
			se:     []float64{4.6647963344, 39.571156086, 28.698696102, 5.567537027, 0.031333340687, 0.014984928198, 0.0065842344623}, rss: 5642.7082397, sd: 13.714600784},
	}
}
