package charts

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"

	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

func labels(ts []tick) []string {
	var out []string
	for _, t := range ts {
		out = append(out, t.label)
	}
	return out
}

func TestTicksAreRoundAndPlain(t *testing.T) {
	for _, c := range []struct {
		scale scale
		most  int
		want  []string
	}{
		{scale{lo: 0, hi: 10}, 6, []string{"0", "2", "4", "6", "8", "10"}},
		{scale{lo: 2.4, hi: 8.4}, 6, []string{"3", "4", "5", "6", "7", "8"}},
		{scale{lo: 0.43, hi: 1.3}, 4, []string{"0.6", "0.8", "1.0", "1.2"}},
		{scale{lo: -3.3, hi: 3.3}, 6, []string{"−2", "0", "2"}},
		{scale{lo: 0, hi: 2.2, whole: true}, 6, []string{"0", "1", "2"}},
		{scale{lo: 0, hi: 1.04, percent: true}, 6, []string{"0", "20", "40", "60", "80", "100"}},
		{scale{lo: 0, hi: 41_000}, 5, []string{"0", "10\u2009000", "20\u2009000", "30\u2009000", "40\u2009000"}},
		{scale{lo: 0, hi: 4.1e6}, 5, []string{"0 million", "1 million", "2 million", "3 million", "4 million"}},
		{scale{lo: 0, hi: 0.0005}, 3, []string{"0.0000", "0.0002", "0.0004"}},
	} {
		require.Equal(t, c.want, labels(c.scale.ticks(c.most)), "%+v", c.scale)
	}
}

func TestTicksStayWithinTheirScaleAndNumber(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 3000 {
		lo := rng.NormFloat64() * math.Pow(10, 7*rng.Float64()-3)
		s := around(lo, lo+math.Pow(10, 10*rng.Float64()-3), 0.1)
		require.Greater(t, s.hi, s.lo)
		for _, most := range []int{2, 4, 7} {
			ts := s.ticks(most)
			require.LessOrEqual(t, len(ts), most, "%+v", s)
			for i, tk := range ts {
				require.GreaterOrEqual(t, tk.at, s.lo-1e-6*(s.hi-s.lo))
				require.LessOrEqual(t, tk.at, s.hi+1e-6*(s.hi-s.lo))
				if i > 0 {
					require.NotEqual(t, ts[i-1].label, tk.label, "%+v", s)
				}
			}
		}
	}
}

func TestSpanLeavesOutWhatIsFarOff(t *testing.T) {
	lo, hi, ok := span([]float64{3, 3.2, 3.4, 3.6, 3.8, 4, 4.2, 4.4, 44, math.NaN(), math.Inf(1)})
	require.True(t, ok)
	require.Equal(t, 3.0, lo)
	require.Equal(t, 4.4, hi)
	lo, hi, ok = span([]float64{5})
	require.True(t, ok)
	require.Equal(t, []float64{5, 5}, []float64{lo, hi})
	_, _, ok = span(nil, []float64{math.NaN()})
	require.False(t, ok)
}

func TestShortenKeepsBothEndsOfAName(t *testing.T) {
	s, err := newStyle()
	require.NoError(t, err)
	name := "Large planter with handles, mold number 17"
	require.Equal(t, name, shorten(s.label, name, 1000))
	for room := vg.Length(12); room < 180; room += 7 {
		got := shorten(s.label, name, room)
		require.LessOrEqual(t, float64(s.label.Width(got)), float64(room))
		require.Contains(t, got, "…")
	}
	got := shorten(s.label, name, 80)
	require.True(t, strings.HasPrefix(got, "Large") && strings.HasSuffix(got, "17"), got)
}

func TestCleanLeavesOneLineOfXMLCharacters(t *testing.T) {
	require.Equal(t, "a b c", clean(" a\r\n b\u0000\u0007\tc\u202e\ufffe "))
	require.Equal(t, "\uFFFD<&>", clean("\xff<&>"))
}

// The axes of a US chart are in inches and their ticks on round inches: not metric
// ticks with converted labels. 25.4 mm are an inch, 25.4²/60 mm²/min an in²/h.
func TestAxesAreInTheReportsUnit(t *testing.T) {
	curves := []wall.Curve{{DwellMin: []float64{10, 40}, WallMM: []float64{3, 6.2}, Lower90: []float64{2.6, 5.8}, Upper90: []float64{3.4, 6.6}, TargetMM: 5}}
	_, mm := dwellAndWallScales(wallsIn(format.Metric.Length(), curves), format.Metric.Length())
	_, in := dwellAndWallScales(wallsIn(format.US.Length(), curves), format.US.Length())
	require.Equal(t, []string{"3", "4", "5", "6"}, labels(mm.ticks(6)))
	require.Equal(t, []string{"0.10", "0.15", "0.20", "0.25"}, labels(in.ticks(6)))
	require.InDelta(t, mm.lo/25.4, in.lo, 1e-12)
	require.InDelta(t, mm.hi/25.4, in.hi, 1e-12)
	require.Equal(t, 3.0, curves[0].WallMM[0], "the result itself stays SI")

	paths := []wall.Path{{AgeCasts: []float64{0, 30}, Rate: []float64{1.4, 0.7}, FitAge: []float64{0, 30}, FitRate: []float64{1.3, 0.8}}}
	_, metric := rateScales(ratesIn(format.Metric.CastingRate(), paths), format.Metric.CastingRate())
	_, us := rateScales(ratesIn(format.US.CastingRate(), paths), format.US.CastingRate())
	require.InDelta(t, metric.hi*60/(25.4*25.4), us.hi, 1e-12)

	pours := []tables.PourWaste{{PlasterKg: 0.45359237, FailedKg: 0.45359237, InMoldKg: tables.Absent()}}
	lb := poursIn(format.US.MassUnit(), pours)
	require.Equal(t, 1.0, total(lb[0]))
	require.Equal(t, 0.45359237, pours[0].PlasterKg)
}
