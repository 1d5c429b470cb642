package mixed

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// The numbers of testdata/mixed/nonlinear_fits.R: nlme 3.1-162 by maximum
// likelihood, its tolerances at 1e-9. Pinheiro & Bates (2000), Mixed-Effects
// Models in S and S-PLUS, treat both sets; for the orange trees nlme's defaults
// give a log likelihood of −131.5846.
func TestNonlinearAgainstNlme(t *testing.T) {
	height, age, pine := loblolly(t)
	size, days, tree := orange(t)
	for _, c := range []struct {
		name              string
		y                 []float64
		group             []int
		curve             Curve
		start, beta, se   []float64
		sd, sigma, logLik float64
	}{
		{"loblolly", height, pine, asymptotic(age), []float64{103, -8.5, -3.3},
			[]float64{101.447150132185, -8.62763272899215, -3.2337125828752},
			[]float64{2.41718948829797, 0.312223730928584, 0.0336514662728364},
			3.650647042284203, 0.718862348677818, -114.743162296942},
		{"orange", size, tree, logistic(days), []float64{192, 728, 350},
			[]float64{191.049000830861, 722.555979720697, 344.162381868361},
			[]float64{15.4462064833853, 33.6106155448974, 25.9578677339255},
			31.48255783241292, 7.84625448652629, -131.584579107141},
	} {
		t.Run(c.name, func(t *testing.T) {
			m, err := FitNonlinear(groupedRows(c.y, c.group), 1, c.start, c.curve, ML)
			require.NoError(t, err)
			for j := range c.beta {
				require.InEpsilon(t, c.beta[j], m.Beta[j], 1e-8)
				require.InEpsilon(t, c.se[j], m.BetaSE()[j], 1e-7)
			}
			require.InEpsilon(t, c.sd, m.SD(0), 1e-8)
			require.InEpsilon(t, c.sigma, m.Sigma, 1e-8)
			require.InEpsilon(t, c.logLik, m.LogLik(), 1e-8)
		})
	}
}

// Two random effects: fatigue cracks in 21 specimens of Alloy A, log(length/0.9
// in) = −log(1 − 0.9^b2·b1·b2·t)/b2 with b1 and b2 of each specimen (Hudak et al.
// 1978; Lu & Meeker 1993, Technometrics 35; Meeker & Escobar 1998). Reference:
// nlme 3.1-162 by maximum likelihood with its own tolerances, hence six digits
// of the estimates and five of the covariances.
func TestCracksAgainstNlme(t *testing.T) {
	var y, x []float64
	var specimen []int
	for _, r := range reference(t, "deg_alloya.csv") {
		if millions := number(t, r, "megacycles"); millions > 0 {
			y, x = append(y, math.Log(number(t, r, "inches")/0.9)), append(x, millions)
			specimen = append(specimen, int(number(t, r, "specimen"))-1)
		}
	}
	m, err := FitNonlinear(groupedRows(y, specimen), 2, []float64{3.7, 1.6}, crack(x), ML)
	require.NoError(t, err)
	require.Equal(t, 21, m.Groups)
	require.InEpsilon(t, 3.72948287360729, m.Beta[0], 1e-6)
	require.InEpsilon(t, 1.58398032898539, m.Beta[1], 1e-6)
	g := m.G()
	require.InEpsilon(t, 0.519043742630705, g[0][0], 1e-5)
	require.InEpsilon(t, -0.0968995830485316, g[0][1], 1e-5)
	require.InEpsilon(t, 0.0615805316620345, g[1][1], 1e-5)
	require.InEpsilon(t, 0.00614132649924869, m.Sigma, 1e-6)
	require.InEpsilon(t, 787.951582128068, m.LogLik(), 1e-7)
}

func groupedRows(y []float64, group []int) Rows {
	return Rows{N: len(y), Group: func(i int) int { return group[i] }, Y: func(i int) float64 { return y[i] }}
}

// orange is the trunk circumference of five orange trees at seven ages (Draper &
// Smith 1998; in R as datasets::Orange).
func orange(t *testing.T) (circumference, age []float64, tree []int) {
	for _, r := range table(t, filepath.Join(testdata, "orange.csv")) {
		circumference, age = append(circumference, number(t, r, "circumference")), append(age, number(t, r, "age"))
		tree = append(tree, int(number(t, r, "Tree"))-1)
	}
	return circumference, age, tree
}

// logistic is R's SSlogis, Asym/(1 + exp((xmid − x)/scal)), with a random Asym.
func logistic(x []float64) Curve {
	return func(i int, beta, b, byBeta, byB []float64) float64 {
		asym, z := beta[0]+b[0], (x[i]-beta[1])/beta[2]
		share := 1 / (1 + math.Exp(-z))
		slope := asym * share * (1 - share) / beta[2]
		byBeta[0], byBeta[1], byBeta[2] = share, -slope, -slope*z
		byB[0] = share
		return asym * share
	}
}

func crack(t []float64) Curve {
	return func(i int, beta, b, byBeta, byB []float64) float64 {
		b1, b2 := beta[0]+b[0], beta[1]+b[1]
		scale := math.Pow(0.9, b2)
		left := 1 - scale*b1*b2*t[i]
		byB[0] = scale * t[i] / left
		byB[1] = math.Log(left)/(b2*b2) + scale*b1*t[i]*(1+b2*math.Log(0.9))/(left*b2)
		copy(byBeta, byB)
		return -math.Log(left) / b2
	}
}
