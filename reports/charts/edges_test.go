package charts

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"

	"moldwright/pipeline"
	"moldwright/pipeline/life"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
	"moldwright/pipeline/watch"
)

func number(t *testing.T, b []byte) vg.Length {
	t.Helper()
	x, err := strconv.ParseFloat(string(b), 64)
	require.NoError(t, err)
	return vg.Length(x)
}

func unescape(t *testing.T, b []byte) string {
	t.Helper()
	return html.UnescapeString(string(b))
}

// constant is a result in which every number is x and every series has n values.
func constant(x float64, n int) pipeline.Result {
	xs := make([]float64, n)
	for i := range xs {
		xs[i] = x
	}
	var res pipeline.Result
	res.Wall.Curves = []wall.Curve{{Form: "F", DwellMin: xs, WallMM: xs, Lower90: xs, Upper90: xs, TargetMM: x, CastDwellMin: xs, CastWallMM: xs}}
	res.Wall.Paths = []wall.Path{{Mold: "M", InUse: true, AgeCasts: xs, Rate: xs, FitAge: xs, FitRate: xs, FitLow95: xs, FitUp95: xs}}
	res.Life.Remaining = []tables.RemainingCasts{{Mold: "M", RemainingP10: x, RemainingP50: x, RemainingP90: x}}
	res.Life.Curves = []life.Curve{{Kind: "", AgeCasts: xs, Survival: xs, Lower80: xs, Upper80: xs, StepAge: xs, StepShare: xs}}
	res.Watch.Charts = []watch.Chart{{Mold: "M", AgeCasts: xs, Sum: xs, Limit: x}}
	for range n {
		res.Wall.Used = append(res.Wall.Used, tables.CastUsed{Mold: "M", AgeCasts: 3, DwellMin: x, WallMM: x, FittedMM: x, ResidualZ: x, Weight: x})
		res.Plaster.Pours = append(res.Plaster.Pours, tables.PourWaste{
			Pour: "P", Date: tables.NoDate, PlasterKg: x, InMoldKg: 1, WasteKg: x, WasteLower80: x, WasteUpper80: x,
			LeftoverKg: x, SpilledKg: x, TrimmedKg: x, FailedKg: x, UnexplainedKg: x,
		})
	}
	res.Plaster.By = []tables.WasteBy{{Group: "cause", WasteKg: x, WasteShare: x}, {Group: "all", PlasterKg: x, WasteKg: x, WasteShare: x}}
	res.Plaster.Budget = []tables.Budget{{PlasterKgP10: x, PlasterKgP50: x, PlasterKgP90: x, Bags: tables.NoCount}}
	return res
}

func TestOddNumbersAreDrawnOrLeftOut(t *testing.T) {
	for _, x := range []float64{0, 1, -3, 1e-9, 0.123456789, 1e5, 1e6, 3.7e8, 1e15, 1e300, -1e300, math.MaxFloat64, math.SmallestNonzeroFloat64, math.NaN(), math.Inf(1), math.Inf(-1)} {
		for _, n := range []int{1, 2, 9} {
			t.Run(fmt.Sprint(x, " ", n), func(t *testing.T) {
				if len(drawAll(t, constant(x, n))) == 0 {
					t.Fatal("the pours have a mold of 1 kg and can be drawn")
				}
			})
		}
	}
}

func TestAbsentValuesAmongOthersAreLeftOut(t *testing.T) {
	res := sample()
	nan := tables.Absent()
	for i := range res.Wall.Curves {
		c := &res.Wall.Curves[i]
		c.WallMM[3], c.Lower90[20], c.CastWallMM[5], c.DwellMin[30] = nan, math.Inf(-1), nan, nan
	}
	for i := range res.Wall.Paths {
		p := &res.Wall.Paths[i]
		p.Rate[0], p.FitRate[7], p.FitUp95[9] = nan, math.Inf(1), nan
	}
	res.Wall.Paths[2].FitLow95 = nil
	res.Wall.Used[4].FittedMM, res.Wall.Used[5].Weight = nan, nan
	res.Wall.Used[6].AgeCasts = tables.NoCount
	res.Life.Remaining[0].RemainingP10 = nan
	res.Life.Remaining[1].RemainingP50 = nan
	res.Life.Remaining[2].RemainingP90 = math.Inf(1)
	res.Life.Fits[0].Ended = tables.NoCount
	res.Life.Causes[0].Steps[1].Share[0], res.Life.Causes[1].LastCasts = nan, math.Inf(1)
	res.Life.Curves[0].Survival[4], res.Life.Curves[1].StepShare[2] = nan, nan
	res.Watch.Charts[0].Sum[3], res.Watch.Charts[1].Limit = nan, nan
	res.Plaster.Pours[0].LeftoverKg, res.Plaster.Pours[1].WasteLower80 = nan, nan
	res.Plaster.Pours[2].Date = tables.NoDate
	res.Plaster.Pours[3].PlasterKg = nan
	res.Plaster.By[0].WasteShare = nan
	for i := range res.Plaster.By { // as where too few pours are logged for a usual range
		res.Plaster.By[i].UsualLower, res.Plaster.By[i].UsualUpper = nan, nan
	}
	res.Plaster.Budget[0].PlasterKgP10 = nan
	res.Plaster.Budget[1].Bags = tables.NoCount
	require.Len(t, drawAll(t, res), 19)
}

// TestATypingErrorDoesNotSqueezeTheRest checks that a point a thousandfold off
// leaves the axis as it was, is shown by an arrow, and is counted in the note.
func TestATypingErrorDoesNotSqueezeTheRest(t *testing.T) {
	res := sample()
	before := drawAll(t, res)["wall_against_dwell"]
	res.Wall.Curves[1].CastWallMM[0] *= 1000
	after := drawAll(t, res)["wall_against_dwell"]
	require.Equal(t, texts(t, before.SVG), texts(t, after.SVG))
	require.NotContains(t, before.Note, "off the scale")
	require.Contains(t, after.Note, "1 cast lies off the scale")
}

const attack = `<script>alert("1")</script> &']]><!--`

func renamed(name string) pipeline.Result {
	res := sample()
	for i := range res.Wall.Curves {
		res.Wall.Curves[i].Form = name
	}
	for i := range res.Wall.Paths {
		res.Wall.Paths[i].Mold, res.Wall.Paths[i].Form = name, name
	}
	for i := range res.Life.Remaining {
		res.Life.Remaining[i].Mold, res.Life.Remaining[i].LikelyCause = name, name
	}
	for i := range res.Plan.Orders {
		res.Plan.Orders[i].Form = name
	}
	for i := range res.Plan.WhatIf {
		res.Plan.WhatIf[i].Form = name
	}
	for i := range res.Life.Curves {
		res.Life.Curves[i].Kind, res.Life.Fits[i].Kind = name, name
	}
	for i := range res.Life.Causes {
		res.Life.Causes[i].Kind = name
	}
	for i := range res.Watch.Charts {
		res.Watch.Charts[i].Mold, res.Watch.Molds[i].Mold = name, name
	}
	for i := range res.Plaster.By {
		if res.Plaster.By[i].Group != "all" {
			res.Plaster.By[i].Value = name
		}
	}
	for i := range res.Plaster.Budget {
		res.Plaster.Budget[i].Class, res.Plaster.Budget[i].Period = name, name
	}
	for i := range res.Watch.Shelf {
		res.Watch.Shelf[i].Mold, res.Watch.Shelf[i].Form = name, name
	}
	for i := range res.Watch.Molds {
		res.Watch.Molds[i].Evidence, res.Watch.Molds[i].DoNext = name, name
	}
	return res
}

func TestNamesWithMarkupAreShownAsTheyAre(t *testing.T) {
	charts := drawAll(t, renamed(attack))
	require.Len(t, charts, 20)
	for _, c := range charts {
		require.NotContains(t, string(c.SVG), "<script")
		require.NotContains(t, string(c.SVG), "<!--")
	}
	require.Contains(t, strings.Join(texts(t, charts["wall_against_dwell"].SVG), "\n"), attack)
}

func TestLongAndHostileNamesFit(t *testing.T) {
	for _, name := range []string{
		strings.Repeat("W", 200), strings.Repeat("very long name ", 40), strings.Repeat("i", 100_000),
		"\x00\x01\x1b[31m\u202egum\ufffe\uffff", "\xff\xfe broken", "line\nbreak\ttab", " ", "鉢 чаша κύπελλο", strings.Repeat("👩‍🎨", 60),
	} {
		want := 20
		if clean(name) == "" {
			want-- // classes and terms without a name are none that could be judged
		}
		t.Run(short(name), func(t *testing.T) { require.Len(t, drawAll(t, renamed(name)), want) })
	}
}

func TestManyMoldsAndPoursStayOnAPageAndAreToldOf(t *testing.T) {
	res := sample()
	for i := range 60 {
		path := res.Wall.Paths[i%14]
		path.Mold = fmt.Sprintf("M%03d", i)
		res.Wall.Paths = append(res.Wall.Paths, path)
		r := res.Life.Remaining[i%12]
		r.Mold = path.Mold
		res.Life.Remaining = append(res.Life.Remaining, r)
		res.Plaster.Pours = append(res.Plaster.Pours, res.Plaster.Pours[:4]...)
		res.Wall.Curves = append(res.Wall.Curves, res.Wall.Curves[i%4])
		res.Wall.Used = append(res.Wall.Used, res.Wall.Used[:100]...)
		res.Watch.Charts = append(res.Watch.Charts, res.Watch.Charts[0])
		res.Plaster.Budget = append(res.Plaster.Budget, res.Plaster.Budget[0])
		res.Plaster.By = append(res.Plaster.By, res.Plaster.By[0], sampleJudged("class", "one more", 1, "usual"))
	}
	charts := drawAll(t, res)
	require.Contains(t, charts["rate_against_age"].Note, "Shown are 24 of 74 molds, those that need action first")
	require.Contains(t, charts["remaining_casts"].Note, "Shown are 34 of 72 molds")
	require.Contains(t, charts["waste_by_pour"].Note, "the latest 180 of 298 pours")
	require.Contains(t, charts["wall_against_dwell"].Note, "Shown are 12 of 64 forms")
	require.Contains(t, charts["watch_list"].Note, "Shown are 24 of 63 flagged molds")
	require.Contains(t, charts["residuals"].Note, "Shown are 3061 of 6616 casts")
	require.Contains(t, charts["budget"].Note, "Shown are 34 of 63 classes")
	require.Contains(t, charts["waste_by_cause"].Note, "Shown are 16 of 65 causes")
	require.Contains(t, charts["waste_share"].Note, "Shown are 16 of 62 classes")
	for _, c := range charts {
		require.Less(t, len(c.SVG), 600_000, c.Name)
	}
}

func TestMoldsInUseComeFirst(t *testing.T) {
	words := texts(t, drawAll(t, sample())["rate_against_age"].SVG)
	var ended bool
	for _, w := range words {
		if strings.HasSuffix(w, "(ended)") {
			ended = true
		} else if strings.Contains(w, "mug ") || strings.Contains(w, "Bowl ") {
			require.False(t, ended, "%s comes after a mold that has ended", w)
		}
	}
	require.True(t, ended)
}

func TestRemainingCastsAreSortedByMedian(t *testing.T) {
	var medians []float64
	for _, w := range texts(t, drawAll(t, sample())["remaining_casts"].SVG) {
		if mid, _, ok := strings.Cut(w, " ("); ok && strings.Contains(w, " to ") {
			m, err := strconv.ParseFloat(mid, 64)
			require.NoError(t, err)
			medians = append(medians, m)
		}
	}
	require.Len(t, medians, 12)
	require.IsNonDecreasing(t, medians)
}
