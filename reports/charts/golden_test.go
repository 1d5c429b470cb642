package charts

import (
	"bytes"
	"flag"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"

	"moldwright/pipeline"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// goldenDPI is coarse: the pictures are small to keep, and a curve is still a pixel wide.
const goldenDPI = 60

// pictures draws every chart of a result as pixels.
func pictures(t *testing.T, res pipeline.Result, dpi int) map[string]image.Image {
	t.Helper()
	s, err := newStyle()
	require.NoError(t, err)
	out := map[string]image.Image{}
	for _, f := range figures(s, res) {
		data, err := f.png(s, dpi)
		require.NoError(t, err)
		out[f.name] = decode(t, data)
	}
	return out
}

func golden(t *testing.T, name string) image.Image {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name+".png"))
	require.NoError(t, err, "run the test with -update to write it, and look at it")
	return decode(t, data)
}

func decode(t *testing.T, data []byte) image.Image {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	return img
}

// TestGoldenPictures compares every chart, drawn small, with a picture that a person
// has looked at.
func TestGoldenPictures(t *testing.T) {
	got := pictures(t, sample(), goldenDPI)
	if *update {
		require.NoError(t, os.RemoveAll("testdata"))
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		for name, img := range got {
			var out bytes.Buffer
			enc := png.Encoder{CompressionLevel: png.BestCompression}
			require.NoError(t, enc.Encode(&out, img))
			require.NoError(t, os.WriteFile(filepath.Join("testdata", name+".png"), out.Bytes(), 0o644))
		}
	}
	files, err := filepath.Glob("testdata/*.png")
	require.NoError(t, err)
	require.Len(t, files, len(got), "a golden picture without a chart, or a chart without one")
	for name, img := range got {
		stray, ok := strayPixels(golden(t, name), img)
		require.True(t, ok, "%s has another size", name)
		require.LessOrEqual(t, stray, allowedStray, "%s: pixels that have no like within one pixel", name)
	}
}

// allowedStray is how many pixels of a picture may have no like in the other. Edges that
// are rounded otherwise leave at most 20 of them (TestAnotherRasteriserPasses), what is
// shown a few percent off leaves 66 to 1900 (TestAPerturbedChartFails).
const allowedStray = 25

// strayPixels counts the pixels of either picture that have no pixel of about their
// color among the nine of the other at and around their place. ok is false where
// the sizes differ.
func strayPixels(a, b image.Image) (n int, ok bool) {
	if a.Bounds() != b.Bounds() {
		return 0, false
	}
	return strayIn(a, b) + strayIn(b, a), true
}

func strayIn(a, b image.Image) int {
	n := 0
	for y := a.Bounds().Min.Y; y < a.Bounds().Max.Y; y++ {
		for x := a.Bounds().Min.X; x < a.Bounds().Max.X; x++ {
			if !hasLike(b, x, y, a.At(x, y)) {
				n++
			}
		}
	}
	return n
}

// hasLike reports whether the color lies, with a quarter of the range to spare, within
// what the nine pixels span in each channel: an edge drawn half a pixel on is a blend
// of its neighbors.
func hasLike(img image.Image, x, y int, c color.Color) bool {
	const spare = 0xFFFF / 4
	lo, hi := [3]uint32{0xFFFF, 0xFFFF, 0xFFFF}, [3]uint32{}
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if !(image.Point{X: x + dx, Y: y + dy}).In(img.Bounds()) {
				continue
			}
			for k, v := range channels(img.At(x+dx, y+dy)) {
				lo[k], hi[k] = min(lo[k], v), max(hi[k], v)
			}
		}
	}
	for k, v := range channels(c) {
		if v+spare < lo[k] || v > hi[k]+spare {
			return false
		}
	}
	return true
}

func channels(c color.Color) [3]uint32 {
	r, g, b, _ := c.RGBA()
	return [3]uint32{r, g, b}
}

// TestAnotherRasteriserPasses draws every chart a fifth of a pixel to the right and up:
// every edge is blended otherwise, and some letters fall on other pixels, as where
// another processor or version of the drawing library rounds.
func TestAnotherRasteriserPasses(t *testing.T) {
	s, err := newStyle()
	require.NoError(t, err)
	const fifth = 0.2 * vg.Inch / goldenDPI
	for _, f := range figures(s, sample()) {
		canvas := vgimg.NewWith(vgimg.UseWH(figureWidth, f.height(s)), vgimg.UseDPI(goldenDPI))
		canvas.Translate(vg.Point{X: fifth, Y: fifth})
		f.draw(s, draw.New(canvas))
		want, got := golden(t, f.name), canvas.Image()
		differ := 0
		for y := range want.Bounds().Dy() {
			for x := range want.Bounds().Dx() {
				if channels(want.At(x, y)) != channels(got.At(x, y)) {
					differ++
				}
			}
		}
		require.Greater(t, differ, 500, "%s: the test must try something else", f.name)
		stray, ok := strayPixels(want, got)
		require.True(t, ok)
		require.LessOrEqual(t, stray, allowedStray, f.name)
	}
}

// TestAPerturbedChartFails moves what each chart shows by a little, and holds that
// its golden picture tells.
func TestAPerturbedChartFails(t *testing.T) {
	changed := perturbed()
	got := pictures(t, changed, goldenDPI)
	for name, img := range got {
		stray, same := strayPixels(golden(t, name), img)
		require.True(t, !same || stray > 2*allowedStray, "%s: moved, and %d stray pixels only", name, stray)
	}
	require.Len(t, got, len(pictures(t, sample(), goldenDPI)))
}

// perturbed is the sample with every quantity that a chart shows a few percent off.
func perturbed() pipeline.Result {
	res := sample()
	grow := func(by float64, columns ...[]float64) {
		for _, col := range columns {
			for i := range col {
				col[i] *= by
			}
		}
	}
	for _, c := range res.Wall.Curves {
		grow(1.03, c.WallMM)
	}
	for _, p := range res.Wall.Paths {
		grow(1.05, p.FitRate)
	}
	for i := range res.Wall.Used {
		res.Wall.Used[i].WallMM += 0.1
		res.Wall.Used[i].ResidualZ += 0.3
	}
	for i := range res.Life.Remaining {
		res.Life.Remaining[i].RemainingP50 *= 1.1
	}
	for _, c := range res.Life.Curves {
		grow(0.97, c.Survival)
	}
	for _, c := range res.Life.Causes {
		for i := range c.Steps {
			c.Steps[i].AgeCasts += 2
		}
	}
	for _, c := range res.Watch.Charts {
		grow(1.06, c.Sum, c.Wear)
		grow(1.02, c.PredictedMM)
	}
	for i := range res.Watch.Shelf {
		res.Watch.Shelf[i].AgeCasts += 2
	}
	for i := range res.Hindcast.Walls {
		res.Hindcast.Walls[i].MeasuredMM += 0.05
	}
	for i := range res.Hindcast.Lives {
		res.Hindcast.Lives[i].Came *= 1.04
	}
	for i := range res.Plaster.Pours {
		res.Plaster.Pours[i].LeftoverKg += 0.15
	}
	for i := range res.Plaster.By {
		res.Plaster.By[i].WasteKg *= 1 + 0.03*float64(i%2)
		res.Plaster.By[i].ShrunkShare += 0.01
	}
	for i := range res.Plaster.Budget {
		res.Plaster.Budget[i].PlasterKgP50 += 4
	}
	for i := range res.Plan.Orders {
		res.Plan.Orders[i].ChanceOnTime = 0.9 * res.Plan.Orders[i].ChanceOnTime
	}
	for i := range res.Plan.WhatIf {
		res.Plan.WhatIf[i].ChanceOnTime = 0.95 * res.Plan.WhatIf[i].ChanceOnTime
	}
	return res
}
