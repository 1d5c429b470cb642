package wall

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

// The law beside each dwell is that of the guide: what it gives for the target
// wall is the dwell, and for another wall it is what the model itself says. The
// range is carried over with the spread of the target wall; the test holds how
// far that is off.
func TestTheLawBesideADwellGivesItForAnyWall(t *testing.T) {
	for _, law := range laws() {
		t.Run(law.name(), func(t *testing.T) {
			ans := fitStudio(t, ordinary().studio(3))
			fits := ans.Posterior.refitted(t, law)
			row := fits.at(0, "cup", "split", 1, 12)
			asked := dwellFor(fits, row, 5)
			require.InEpsilon(t, asked.DwellMin, byLaw(asked, 5), 1e-12)
			for _, wall := range []float64{4, 4.5, 6} {
				direct := dwellFor(fits, row, wall)
				require.InEpsilon(t, direct.DwellMin, byLaw(asked, wall), 1e-12)
				low, high := rangeByLaw(asked, wall)
				require.InEpsilon(t, direct.DwellLower90, low, 0.01)
				require.InEpsilon(t, direct.DwellUpper90, high, 0.01)
			}
		})
	}
}

// refitted is the posterior with another of the candidate laws.
func (p *Posterior) refitted(t *testing.T, l law) *Posterior {
	t.Helper()
	all, err := compare(p.in, plan(p.in), 0, p.weights, fitted{}, false)
	require.NoError(t, err)
	for _, f := range all.all {
		if f.law.name() == l.name() {
			return newPosterior(p.in, f, p.weights)
		}
	}
	t.Fatalf("%s was not fitted", l.name())
	return nil
}

func TestTheGuideOfCommonPracticeHasALawToo(t *testing.T) {
	tr := ordinary()
	tr.molds, tr.casts = 1, 3
	ans := fitStudio(t, tr.studio(1))
	require.False(t, ans.Fitted)
	g := ans.Guide[0]
	require.InEpsilon(t, g.DwellMin, byLaw(g, g.TargetWallMM), 1e-12)
	low, high := rangeByLaw(g, g.TargetWallMM)
	require.InEpsilon(t, g.DwellLower90, low, 1e-12)
	require.InEpsilon(t, g.DwellUpper90, high, 1e-12)
}

func byLaw(g tables.DwellGuide, wall float64) float64 {
	return g.LawA*math.Pow(wall, g.LawPower) + g.LawB*wall
}

func rangeByLaw(g tables.DwellGuide, wall float64) (low, high float64) {
	cake, mold := g.LawA*math.Pow(wall, g.LawPower), g.LawB*wall
	steep := (g.LawPower*cake + mold) / (cake + mold)
	return (cake + mold) * math.Exp(-g.SpreadLower*steep), (cake + mold) * math.Exp(g.SpreadUpper*steep)
}
