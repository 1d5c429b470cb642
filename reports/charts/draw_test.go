package charts

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"image/png"
	"io"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline"
	"moldwright/pipeline/life"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
	"moldwright/pipeline/watch"
)

// drawAll draws all charts of a result, as pixels in coarse only to be quick.
func drawAll(t *testing.T, res pipeline.Result) map[string]Chart {
	t.Helper()
	s, err := newStyle()
	require.NoError(t, err)
	byName := map[string]Chart{}
	for _, f := range figures(s, res) {
		require.NotContains(t, byName, f.name)
		c, err := f.render(s, 24)
		require.NoError(t, err)
		byName[c.Name] = c
		requireSound(t, c, 24)
	}
	return byName
}

// texts returns what a reader of the SVG sees, and fails where it is no well-formed XML.
func texts(t *testing.T, svg []byte) []string {
	t.Helper()
	var out []string
	dec := xml.NewDecoder(bytes.NewReader(svg))
	inText := false
	for {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return out
		}
		require.NoError(t, err)
		switch tok := tok.(type) {
		case xml.StartElement:
			require.Contains(t, []string{"svg", "g", "path", "text"}, tok.Name.Local)
			inText = tok.Name.Local == "text"
			for _, a := range tok.Attr {
				require.NotEqual(t, "id", a.Name.Local, "an id could meet another on the page")
			}
		case xml.EndElement:
			inText = false
		case xml.CharData:
			if inText {
				out = append(out, string(tok))
			}
		}
	}
}

var notANumber = regexp.MustCompile(`NaN|[-+]?Inf\b|\d[eE][-+]?\d`)

// requireSound checks what holds of every chart.
func requireSound(t *testing.T, c Chart, dpi float64) {
	t.Helper()
	require.True(t, bytes.HasPrefix(c.SVG, []byte("<svg ")), "an HTML page takes no XML declaration")
	words := strings.Join(append(texts(t, c.SVG), c.Alt, c.Note, c.Title), "\n")
	require.NotRegexp(t, notANumber, words, c.Name)
	require.NotContains(t, string(c.SVG), "NaN", c.Name)
	require.NotContains(t, string(c.SVG), "Inf,", c.Name)
	require.True(t, strings.HasSuffix(c.Title, "?"), c.Title)
	require.Greater(t, len(c.Alt), 40, c.Name)
	require.NotEmpty(t, c.Note)
	require.NotEmpty(t, c.Section)
	require.EqualValues(t, 170, c.WidthMM)
	require.Less(t, c.HeightMM, 212.0, "%s must fit a page", c.Name)
	image, err := png.DecodeConfig(bytes.NewReader(c.PNG))
	require.NoError(t, err)
	require.InDelta(t, c.WidthMM/25.4*dpi, float64(image.Width), 1)
	require.InDelta(t, c.HeightMM/25.4*dpi, float64(image.Height), 1)
	requireInside(t, c)
}

var textPlace = regexp.MustCompile(`<text x="([-\d.]+)" y="([-\d.]+)"`)

// requireInside checks that no text begins or ends off the picture.
func requireInside(t *testing.T, c Chart) {
	t.Helper()
	s, err := newStyle()
	require.NoError(t, err)
	height := c.HeightMM / 25.4 * 72
	elements := regexp.MustCompile(`(?s)<text x="([^"]+)" y="([^"]+)"[^>]*font-weight:(\w+)[^>]*font-size:([\d.]+)px[^>]*>([^<]*)</text>`).FindAllSubmatch(c.SVG, -1)
	require.Len(t, textPlace.FindAll(c.SVG, -1), len(elements))
	for _, e := range elements {
		face := s.label
		if string(e[3]) == "bold" {
			face = s.title
		}
		face = sized(face, number(t, e[4]))
		x, y := number(t, e[1]), -number(t, e[2])
		text := unescape(t, e[5])
		require.GreaterOrEqual(t, float64(face.Font.Size), 9.0, "%s: %q is too small", c.Name, text)
		require.GreaterOrEqual(t, float64(x), 0.0, "%s: %q", c.Name, text)
		require.LessOrEqual(t, float64(x+face.Width(text)), float64(figureWidth)+0.1, "%s: %q", c.Name, text)
		require.GreaterOrEqual(t, float64(y-face.Extents().Descent), -0.1, "%s: %q", c.Name, text)
		require.LessOrEqual(t, float64(y)+float64(face.Font.Size)*0.75, height+0.1, "%s: %q", c.Name, text)
	}
}

func TestEachChartIsDrawnOnceInTheOrderOfTheReport(t *testing.T) {
	all, err := Draw(sample())
	require.NoError(t, err)
	var names, sections []string
	for _, c := range all {
		requireSound(t, c, pngDPI)
		names, sections = append(names, c.Name), append(sections, c.Section)
	}
	require.Equal(t, []string{
		"wall_against_dwell", "rate_against_age", "measured_against_fitted", "residuals",
		"remaining_casts", "lives", "life_causes", "plan_chances", "plan_whatif", "shelf", "watch_list", "watch_mold_1", "watch_mold_2", "watch_mold_3", "hindcast_walls", "hindcast_lives", "waste_by_pour", "waste_by_cause", "waste_share", "budget",
	}, names)
	require.Equal(t, []string{
		SectionWall, SectionWall, SectionWall, SectionWall,
		SectionLife, SectionLife, SectionLife, SectionPlan, SectionPlan, SectionWatch, SectionWatch, SectionWatch, SectionWatch, SectionWatch, SectionHindcast, SectionHindcast, SectionPlaster, SectionPlaster, SectionPlaster, SectionPlaster,
	}, sections)
}

func TestChartsWithoutDataAreLeftOut(t *testing.T) {
	all, err := Draw(pipeline.Result{})
	require.NoError(t, err)
	require.Empty(t, all)

	nan, nans := tables.Absent(), []float64{tables.Absent()}
	var res pipeline.Result
	res.Wall.Curves = []wall.Curve{{Form: "a", DwellMin: []float64{4}, WallMM: nans, CastDwellMin: nans, CastWallMM: []float64{3}, TargetMM: nan}}
	res.Wall.Paths = []wall.Path{{Mold: "m", AgeCasts: []float64{1}, Rate: nans}}
	res.Wall.Used = []tables.CastUsed{{Mold: "m", AgeCasts: tables.NoCount, DwellMin: nan, WallMM: nan, FittedMM: 3, ResidualZ: nan, Weight: nan}}
	res.Life.Remaining = []tables.RemainingCasts{{Mold: "m", RemainingP10: nan, RemainingP50: nan, RemainingP90: math.Inf(1)}}
	res.Life.Curves = []life.Curve{{Kind: "split"}}
	res.Watch.Charts = []watch.Chart{{Mold: "m", Limit: nan}}
	res.Plaster.Pours = []tables.PourWaste{{Pour: "p", Date: tables.NoDate, PlasterKg: nan, InMoldKg: nan, LeftoverKg: nan, SpilledKg: nan, TrimmedKg: nan, FailedKg: nan, UnexplainedKg: -2}}
	res.Plaster.By = []tables.WasteBy{{Group: "cause", Value: "spilled", WasteKg: nan}}
	res.Plaster.Budget = []tables.Budget{{Class: "c", PlasterKgP10: nan, PlasterKgP50: nan, PlasterKgP90: nan}}
	all, err = Draw(res)
	require.NoError(t, err)
	require.Empty(t, all)
}

func TestTheSameResultGivesTheSameBytes(t *testing.T) {
	first, err := Draw(sample())
	require.NoError(t, err)
	second, err := Draw(sample())
	require.NoError(t, err)
	require.Equal(t, first, second)
}

func TestDrawingLeavesTheResultAlone(t *testing.T) {
	res := sample()
	_, err := Draw(res)
	require.NoError(t, err)
	require.True(t, fmt.Sprint(sample()) == fmt.Sprint(res))
}

func TestAltTextsCarryTheMainFigures(t *testing.T) {
	charts := drawAll(t, sample())
	for name, figures := range map[string][]string{
		"wall_against_dwell": {"280 casts of 4 forms", "target 4.4 mm", "90 % of casts"},
		"rate_against_age":   {"14 molds", "mm²/min at age 0"},
		"remaining_casts":    {"12 molds", "Jug G: ", "too slow"},
		"lives":              {"split (6 ended, 9 not): half have ended by about 33 casts"},
		"life_causes":        {"split: 6 of 15 molds ended", "worn 29 %", "not ended 37 %"},
		"shelf":              {"5 molds in use", "0 casts made, 12 (4 to 30) left, flagged"},
		"watch_mold_1":       {"Tall mug C"},
		"hindcast_walls":     {"2 past dates", "60 casts", "90 % intervals held 92 %"},
		"hindcast_lives":     {"40 forecasts of molds that have ended since, 20 forecasts", "80 % intervals held 82 %"},
		"watch_list":         {"flagged 3 molds", "Tall mug C: thin walls, at 0.8 times its limit", "change began at 29 casts"},
		"waste_by_pour":      {"58 pours from 2025-09-03", "waste 61.0 kg (23 %)", "left over"},
		"waste_by_cause":     {"by cause: left over 23.6 kg, 9 %; failed mold"},
		"waste_share":        {"Molds 2: 21.0 kg, 20 %, to expect 20 % (15 to 26 %), usual.", "2025 Jul to Dec: 93.0 kg, 36 %, to expect 36 % (31 to 42 %), above usual."},
		"budget":             {"Molds 2: 93 kg (70 to 120 kg), 5 bags"},
	} {
		for _, want := range figures {
			require.Contains(t, charts[name].Alt, want, name)
		}
	}
	require.Contains(t, charts["measured_against_fitted"].Note, "1 cast counts less in the fit")
}
