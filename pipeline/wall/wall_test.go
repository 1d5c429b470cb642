package wall

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// truth is a made-up studio whose walls follow the model exactly: for property
// tests only. Checks against published data are in stats/mixed.
type truth struct {
	molds, casts int
	k, wear      float64 // mm²/min, loss of log wall per cast
	between      float64 // spread of log rate between molds
	sigma        float64
	dwell        func(rng *rand.Rand) float64
}

func (tr truth) studio(seed uint64) tables.Studio {
	rng := rand.New(rand.NewPCG(seed, 0))
	var molds []tables.Mold
	var casts []tables.Cast
	for m := range tr.molds {
		name := fmt.Sprintf("M-%02d", m+1)
		molds = append(molds, tables.Mold{Mold: name, Form: "cup", Kind: "split", InService: tables.NoDate, CastsBeforeLog: tables.NoCount, EndedOn: tables.NoDate})
		own := tr.between * rng.NormFloat64()
		for n := range tr.casts {
			t := tr.dwell(rng)
			logWall := 0.5*math.Log(tr.k*t) + own - tr.wear*float64(n) + tr.sigma*rng.NormFloat64()
			casts = append(casts, aCast(name, n, t, math.Exp(logWall)))
		}
	}
	return tables.Studio{
		Molds: tables.FrameOf(molds...), Casts: tables.FrameOf(casts...),
		Forms: tables.FrameOf(tables.Form{Form: "cup", TargetWallMM: 5, WallToleranceMM: tables.Absent(), LongestDwellMin: 40, DryingShrinkage: tables.Absent(), FiringShrinkage: tables.Absent(), TargetFiredWallMM: tables.Absent()}),
	}
}

func aCast(mold string, day int, dwell, wall float64) tables.Cast {
	return tables.Cast{
		Mold: mold, Date: tables.MakeDate(2025, 1, 1) + tables.Date(day), TimeMin: tables.Absent(), DwellMin: dwell, WallsMM: []float64{wall},
		DemoldMin: tables.Absent(), MoldMassKg: tables.Absent(), RoomC: tables.Absent(), RoomHumidity: tables.Absent(),
	}
}

func ordinary() truth {
	return truth{molds: 8, casts: 25, k: 1.2, wear: 0.006, between: 0.05, sigma: 0.03,
		dwell: func(rng *rand.Rand) float64 { return 15 + 15*rng.Float64() }}
}

func fitStudio(t *testing.T, s tables.Studio) Answer {
	t.Helper()
	log, problems := history.Build(s, tables.NoDate)
	require.Empty(t, problems)
	return Run(log, s, Defaults())
}

func TestTheTruthIsRecoveredWithinItsIntervals(t *testing.T) {
	ans := fitStudio(t, ordinary().studio(1))
	require.True(t, ans.Fitted, ans.WhyNot)
	require.Equal(t, Parabolic, ans.Chosen, "the data were made with exponent 1/2: %s", ans.ChosenBy)
	require.Len(t, ans.States, 8)
	for _, s := range ans.States {
		require.Less(t, s.WearLower95, s.WearPerCast)
		require.Less(t, s.WearPerCast, s.WearUpper95)
		require.InDelta(t, 0.006, s.WearPerCast, 0.004)
		require.Equal(t, tables.Count(25), s.AgeCasts)
		want := math.Sqrt(1.2*s.UsualDwellMin) * math.Exp(-0.006*25)
		require.InEpsilon(t, want, s.NextWallMM, 0.15)
		require.Less(t, s.NextWallLower90, s.NextWallMM)
	}
	require.InEpsilon(t, 0.03, ans.Sigma, 0.2)
	require.Len(t, ans.Used, 200)
	require.NotEmpty(t, ans.Guide)
	require.Len(t, ans.Candidates, 3)
	for _, c := range ans.Candidates {
		require.InDelta(t, 0.06, c.LeftOut, 0.04, "between molds 0.05, within 0.03")
	}
}

// A fixed share of intervals must hold the next cast: nine in ten.
func TestPredictionIntervalsHoldTheNextCast(t *testing.T) {
	held, all := 0, 0
	for seed := range uint64(40) {
		tr := ordinary()
		tr.casts++
		s := tr.studio(seed)
		var shown []tables.Cast
		next := map[string]tables.Cast{}
		for i, c := range s.Casts.Rows() {
			if i%tr.casts == tr.casts-1 {
				next[c.Mold] = c
				continue
			}
			shown = append(shown, c)
		}
		s.Casts = tables.FrameOf(shown...)
		log, _ := history.Build(s, tables.NoDate)
		p := Run(log, s, Defaults()).Posterior
		for m, mold := range log.Molds {
			c := next[mold.Mold]
			mean, variance := p.logWall(p.at(m, "cup", "split", c.DwellMin, float64(mold.Age)))
			half := p.quantile(0.95) * math.Sqrt(variance+p.Sigma()*p.Sigma())
			all++
			if math.Abs(math.Log(c.WallMM())-mean) <= half {
				held++
			}
		}
	}
	// 320 forecasts: three standard errors of a share of 0.9 are 0.05.
	require.InDelta(t, 0.9, float64(held)/float64(all), 0.05)
}

func TestAMistypedWallCountsForLittle(t *testing.T) {
	s := ordinary().studio(2)
	clean := fitStudio(t, s)
	var casts []tables.Cast
	for i, c := range s.Casts.Rows() {
		if i == 60 {
			c.WallsMM[0] *= 10
		}
		casts = append(casts, c)
	}
	s.Casts = tables.FrameOf(casts...)
	dirty := fitStudio(t, s)
	require.Less(t, dirty.Used[60].Weight, 0.05)
	require.NotEmpty(t, dirty.Problems)
	require.Equal(t, "unusual-wall", dirty.Problems[0].Code)
	for i := range clean.States {
		require.InEpsilon(t, clean.States[i].NextWallMM, dirty.States[i].NextWallMM, 0.02)
	}
	require.InEpsilon(t, clean.Sigma, dirty.Sigma, 0.15)
}

// A mold whose only cast was mistyped must not pass the error for its nature.
func TestALoneMistypedCastIsFoundOut(t *testing.T) {
	s := ordinary().studio(2)
	molds := []tables.Mold{{Mold: "new", Form: "cup", Kind: "split", InService: tables.NoDate, CastsBeforeLog: tables.NoCount, EndedOn: tables.NoDate}}
	for _, m := range s.Molds.Rows() {
		molds = append(molds, m)
	}
	casts := []tables.Cast{aCast("new", 3, 20, 0.49)}
	for _, c := range s.Casts.Rows() {
		casts = append(casts, c)
	}
	s.Molds, s.Casts = tables.FrameOf(molds...), tables.FrameOf(casts...)
	ans := fitStudio(t, s)
	for _, m := range ans.States {
		if m.Mold == "new" {
			require.InDelta(t, math.Sqrt(1.2*20), m.NextWallMM, 0.5)
		}
	}
	require.NotEmpty(t, ans.Problems)
}

func TestOrderOfRowsChangesNothing(t *testing.T) {
	s := ordinary().studio(3)
	a := fitStudio(t, s)
	var rows []tables.Cast
	for _, c := range s.Casts.Rows() {
		rows = append([]tables.Cast{c}, rows...)
	}
	s.Casts = tables.FrameOf(rows...)
	b := fitStudio(t, s)
	for i := range a.States {
		require.InEpsilon(t, a.States[i].NextWallMM, b.States[i].NextWallMM, 1e-9)
	}
}

func TestTooFewCastsGiveCommonPracticeLabelledSo(t *testing.T) {
	tr := ordinary()
	tr.molds, tr.casts = 1, 7
	ans := fitStudio(t, tr.studio(1))
	require.False(t, ans.Fitted)
	require.Contains(t, ans.WhyNot, "only 7 casts")
	require.Equal(t, PracticeModel, ans.Terms[0].Model)
	require.Len(t, ans.Guide, 1)
	require.InDelta(t, 25/practiceRate, ans.Guide[0].DwellMin, 1e-9)
	require.False(t, tables.Has(ans.States[0].NextWallMM))
}

func TestThinLogsGetFiniteAnswers(t *testing.T) {
	constant := func(*rand.Rand) float64 { return 20 }
	cases := map[string]truth{
		"one mold":       {molds: 1, casts: 12, k: 1, wear: .01, sigma: .03, dwell: ordinary().dwell},
		"two molds":      {molds: 2, casts: 10, k: 1, wear: .01, sigma: .03, dwell: ordinary().dwell},
		"two casts each": {molds: 8, casts: 2, k: 1, wear: .01, between: .05, sigma: .03, dwell: ordinary().dwell},
		"one cast each":  {molds: 12, casts: 1, k: 1, between: .05, sigma: .03, dwell: ordinary().dwell},
		"equal dwells":   {molds: 5, casts: 10, k: 1, wear: .01, between: .05, sigma: .03, dwell: constant},
		"molds alike":    {molds: 6, casts: 12, k: 1, sigma: .03, dwell: ordinary().dwell},
		"equal walls":    {molds: 5, casts: 10, k: 1, dwell: constant},
		"no noise":       {molds: 5, casts: 10, k: 1, wear: .01, dwell: ordinary().dwell},
	}
	for name, tr := range cases {
		t.Run(name, func(t *testing.T) {
			ans := fitStudio(t, tr.studio(4))
			require.True(t, ans.Fitted, ans.WhyNot)
			for _, s := range ans.States {
				require.Greater(t, s.NextWallMM, 0.0)
				require.LessOrEqual(t, s.NextWallLower90, s.NextWallMM)
				require.GreaterOrEqual(t, s.NextWallUpper90, s.NextWallMM)
				require.False(t, math.IsInf(s.NextWallUpper90, 0))
			}
			for _, g := range ans.Guide {
				require.False(t, g.DwellMin <= 0)
			}
		})
	}
}

// Check values of the parabolic law L² = k·t, derived: k = 3.2 mm²/min, 5, 10
// and 20 min give 4, 5.656854 and 8 mm; fired 4.0 mm at 4 % and 8 % shrinkage
// needs 4.529 mm wet, which takes 17.09 min at k = 1.2.
func TestCheckValuesOfTheParabolicLaw(t *testing.T) {
	draw := PowerCourse{Base: 0.5 * math.Log(3.2), Exponent: 0.5}
	require.InDelta(t, 5, draw.DwellNeeded(4, 0), 1e-9)
	require.InDelta(t, 10, draw.DwellNeeded(5.656854, 0), 1e-5)
	require.InDelta(t, 20, draw.DwellNeeded(8, 99), 1e-9)

	wet := WetTarget(tables.Form{TargetWallMM: tables.Absent(), TargetFiredWallMM: 4, DryingShrinkage: .04, FiringShrinkage: .08})
	require.InDelta(t, 4.529, wet, 5e-4)
	draw.Base = 0.5 * math.Log(1.2)
	require.InDelta(t, 17.09, draw.DwellNeeded(wet, 0), 5e-3)

	// k_n = k_0·e^(−λn), λ = .005: two thirds of the rate at 81.093 casts. Wall goes with √k.
	draw.Slope = -0.005 / 2
	require.InDelta(t, 20*1.5, draw.DwellNeeded(math.Sqrt(1.2*20), 81.093), 1e-3)
}

func TestWetnessDecaysAndAddsUp(t *testing.T) {
	day := tables.MakeDate(2025, 3, 1)
	log := history.Log{
		Molds: []history.Mold{{First: 0, Last: 3}, {First: 3, Last: 4}},
		Casts: []history.Cast{
			{Date: day, TimeMin: 600}, {Date: day, TimeMin: 720}, {Date: day + 1, TimeMin: 720}, {Date: day, TimeMin: 600},
		},
	}
	w := wetness(log, 4)
	after := math.Exp(-2.0 / 4)
	require.InDelta(t, 0, w[0], 1e-12)
	require.InDelta(t, after, w[1], 1e-12)
	require.InDelta(t, (after+1)*math.Exp(-24.0/4), w[2], 1e-12)
	require.Zero(t, w[3], "a mold carries nothing over from another")
}
