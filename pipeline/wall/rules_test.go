package wall

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// planned is the design that the rules choose for a studio.
func planned(s tables.Studio) design {
	log, _ := history.Build(s, tables.NoDate)
	return plan(gather(log, s))
}

func termsOf(d design) []string {
	var out []string
	for _, c := range d.columns {
		out = append(out, c.term)
	}
	return out
}

func noted(t *testing.T, notes []string, words string) {
	t.Helper()
	for _, n := range notes {
		if strings.Contains(n, words) {
			return
		}
	}
	require.Failf(t, "not noted", "%q in %q", words, notes)
}

// withSlips gives every cast a batch, round robin over batches of those
// specific gravities, and its wall what the gravity makes of it.
func withSlips(s tables.Studio, share float64, gravities ...float64) tables.Studio {
	var slips []tables.Slip
	names := []string{"S1", "S2", "S3", "S4"}
	for i, g := range gravities {
		slips = append(slips, tables.Slip{Slip: names[i], Date: tables.NoDate, SpecificGravity: g, TemperatureC: tables.Absent()})
	}
	var casts []tables.Cast
	for i, c := range s.Casts.Rows() {
		if float64(i) < share*float64(s.Casts.Len()) {
			k := i % len(gravities)
			c.Slip = names[k]
			c.WallsMM[0] *= math.Exp(2.5 * (gravities[k] - 1.77))
		} else {
			c.Slip = "?"
		}
		casts = append(casts, c)
	}
	s.Slips, s.Casts = tables.FrameOf(slips...), tables.FrameOf(casts...)
	return s
}

func TestSlipTermsNeedKnownAndDifferentSlips(t *testing.T) {
	s := ordinary().studio(1)
	require.NotContains(t, termsOf(planned(s)), "slip specific gravity")
	noted(t, planned(s).notes, "slip specific gravity is not in the model")
	require.Contains(t, termsOf(planned(withSlips(ordinary().studio(1), 1, 1.75, 1.77, 1.79))), "slip specific gravity")
	require.NotContains(t, termsOf(planned(withSlips(ordinary().studio(1), 1, 1.77))), "slip specific gravity", "one value tells nothing")
	require.NotContains(t, termsOf(planned(withSlips(ordinary().studio(1), 0.5, 1.75, 1.79))), "slip specific gravity", "half of the casts is too few")
}

func TestTheSlipTermIsRecovered(t *testing.T) {
	ans := fitStudio(t, withSlips(ordinary().studio(5), 1, 1.75, 1.77, 1.79))
	for _, term := range ans.Terms {
		if strings.Contains(term.Model, "chosen") && strings.HasSuffix(term.Term, "slip specific gravity") {
			require.InDelta(t, 2.5, math.Abs(term.Estimate), 0.7)
			return
		}
	}
	require.Fail(t, "no slip term")
}

func TestRandomTermsNeedMolds(t *testing.T) {
	many := planned(ordinary().studio(1))
	require.True(t, many.pooled && many.slopes)
	tr := ordinary()
	tr.molds = 2
	few := planned(tr.studio(1))
	require.False(t, few.pooled || few.slopes)
	require.Contains(t, termsOf(few), "mold M-02")
	noted(t, few.notes, "cannot be estimated")
	tr.molds, tr.casts = 6, 3
	short := planned(tr.studio(1))
	require.True(t, short.pooled)
	require.False(t, short.slopes)
	noted(t, short.notes, "wear is the same for all molds of a kind")
}

func TestKindsWithLittleDataShareASlope(t *testing.T) {
	s := ordinary().studio(1)
	kinds := []string{"split", "split", "split", "one-piece", "one-piece", "one-piece", "multi-part", ""}
	var molds []tables.Mold
	for i, m := range s.Molds.Rows() {
		m.Kind = kinds[i]
		molds = append(molds, m)
	}
	s.Molds = tables.FrameOf(molds...)
	d := planned(s)
	require.Contains(t, termsOf(d), "age, split")
	require.Contains(t, termsOf(d), "age, one-piece")
	require.Contains(t, termsOf(d), "age, multi-part, unknown")
	noted(t, d.notes, "share one age slope")
}

// twoForms is a shelf whose second form wears differently.
func twoForms(secondWears float64) tables.Studio {
	tr := ordinary()
	s := tr.studio(9)
	rng := rand.New(rand.NewPCG(9, 9))
	var molds []tables.Mold
	for i, m := range s.Molds.Rows() {
		if i >= 4 {
			m.Form = "jug"
		}
		molds = append(molds, m)
	}
	var casts []tables.Cast
	for i, c := range s.Casts.Rows() {
		if n := i % tr.casts; i/tr.casts >= 4 {
			c.WallsMM[0] = math.Sqrt(tr.k*c.DwellMin) * math.Exp(-secondWears*float64(n)+0.03*rng.NormFloat64())
		}
		casts = append(casts, c)
	}
	s.Molds, s.Casts = tables.FrameOf(molds...), tables.FrameOf(casts...)
	return s
}

func TestFormsAgeApartOnlyWhereItPays(t *testing.T) {
	alike := fitStudio(t, twoForms(0.006))
	noted(t, alike.Dropped, "forms of a kind age alike")
	apart := fitStudio(t, twoForms(0.02))
	var slopes []string
	for _, term := range apart.Terms {
		if strings.Contains(term.Model, "chosen") && strings.Contains(term.Term, "age, split, ") {
			slopes = append(slopes, term.Term)
		}
	}
	require.Len(t, slopes, 2)
}

func TestWetnessNeedsTimesAndASlowingEffect(t *testing.T) {
	noted(t, fitStudio(t, ordinary().studio(1)).Dropped, "it needs a time of day")

	timed := func(effect float64) tables.Studio {
		s := ordinary().studio(3)
		var casts []tables.Cast
		for i, c := range s.Casts.Rows() {
			c.Date = tables.MakeDate(2025, 1, 1) + tables.Date(i%25/2) // two casts a day
			c.TimeMin = 540
			if i%25%2 == 1 {
				c.TimeMin = 600 + float64(i*37%240)
				c.WallsMM[0] *= math.Exp(-effect * math.Exp(-(c.TimeMin-540)/60/3))
			}
			casts = append(casts, c)
		}
		s.Casts = tables.FrameOf(casts...)
		return s
	}
	noted(t, fitStudio(t, timed(0)).Dropped, "no slower casting in a mold still wet")
	noted(t, fitStudio(t, timed(-0.15)).Dropped, "no slower casting in a mold still wet")
	var tau float64
	for _, term := range fitStudio(t, timed(0.15)).Terms {
		if strings.Contains(term.Model, "chosen") && strings.Contains(term.Term, "drying time") {
			tau = term.Estimate
		}
	}
	require.InDelta(t, 3, tau, 2.5, "hours, known to a factor of two or so")
}

func TestReadingsAreWeighed(t *testing.T) {
	var walls [][]float64
	var dates []tables.Date
	rng := rand.New(rand.NewPCG(4, 4))
	for i := range 400 {
		l := 5 * math.Exp(0.02*rng.NormFloat64())
		reading := func() float64 { return l * math.Exp(0.03*rng.NormFloat64()) }
		walls = append(walls, []float64{reading(), reading()})
		dates = append(dates, tables.Date(i))
	}
	walls[7][0] *= 10 // a typing error does not blow up the scatter
	r := readingsOf(walls, dates)
	require.InEpsilon(t, 0.03, math.Sqrt(r.variance), 0.1)
	require.Equal(t, 2, r.usual)
	unit := 0.02*0.02 + 0.03*0.03
	require.InEpsilon(t, unit/(0.02*0.02+0.03*0.03/2), r.weight(2, unit), 0.1)
	require.Equal(t, 1.0, r.weight(1, unit))

	mm, n := r.mean([]float64{5, 5.1, 51})
	require.Equal(t, 2, n)
	require.InDelta(t, 5.05, mm, 1e-12)
	mm, n = r.mean([]float64{5, 51})
	require.Equal(t, 2, n, "of two nobody can say which is wrong")
	require.InDelta(t, 28, mm, 1e-12)
}

// The form's wet target follows from a fired one, and the guide from the target.
func TestFiredTargetsMakeAGuide(t *testing.T) {
	s := ordinary().studio(1)
	no := tables.Absent()
	s.Forms = tables.FrameOf(tables.Form{Form: "cup", TargetWallMM: no, WallToleranceMM: no, LongestDwellMin: no, CastsPerDay: no, RestHours: no, PiecesPerKgSlip: no,
		TargetFiredWallMM: 4, DryingShrinkage: .04, FiringShrinkage: .08})
	ans := fitStudio(t, s)
	require.NotEmpty(t, ans.Guide)
	require.InDelta(t, 4.529, ans.Guide[0].TargetWallMM, 5e-4)
}

// Who wants one law gets the same fit of it, and no other.
func TestOnlyTheLawsNamedAreFitted(t *testing.T) {
	s := ordinary().studio(5)
	log, _ := history.Build(s, tables.NoDate)
	set := Defaults()
	set.Laws = []string{Power}
	one := Run(log, s, set)
	require.True(t, one.Fitted, one.WhyNot)
	require.Equal(t, Power, one.Chosen)
	require.Len(t, one.Candidates, 1)
	all := Run(log, s, Defaults())
	require.Len(t, all.Candidates, len(laws()))
	for _, c := range all.Candidates {
		if c.Law == Power {
			require.InEpsilon(t, c.AICc, one.Candidates[0].AICc, 1e-2, "weights follow the law that was chosen")
		}
	}
	set.Laws = []string{"another"}
	require.Contains(t, Run(log, s, set).WhyNot, Power)
}
