package charts

import (
	"bytes"
	"flag"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// TestGoldenPictures compares two charts, drawn small, with pictures that a
// person has looked at. Rounding in another processor's arithmetic may move
// the edge of a mark a little, hence the tolerance.
func TestGoldenPictures(t *testing.T) {
	const dpi = 60
	s, err := newStyle()
	require.NoError(t, err)
	for _, f := range figures(s, sample()) {
		if f.name != "lives" && f.name != "waste_by_cause" {
			continue
		}
		t.Run(f.name, func(t *testing.T) {
			data, err := f.png(s, dpi)
			require.NoError(t, err)
			file := filepath.Join("testdata", f.name+".png")
			if *update {
				require.NoError(t, os.MkdirAll("testdata", 0o755))
				require.NoError(t, os.WriteFile(file, data, 0o644))
			}
			golden, err := os.ReadFile(file)
			require.NoError(t, err, "run the test with -update to write it")
			requireAlike(t, decode(t, golden), decode(t, data))
		})
	}
}

func decode(t *testing.T, data []byte) image.Image {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	return img
}

// requireAlike allows one pixel in two hundred to differ by more than an eighth of the range.
func requireAlike(t *testing.T, want, got image.Image) {
	t.Helper()
	require.Equal(t, want.Bounds(), got.Bounds())
	differ := 0
	b := want.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			r1, g1, b1, _ := want.At(x, y).RGBA()
			r2, g2, b2, _ := got.At(x, y).RGBA()
			if max(apart(r1, r2), apart(g1, g2), apart(b1, b2)) > 0xFFFF/8 {
				differ++
			}
		}
	}
	require.LessOrEqual(t, differ, b.Dx()*b.Dy()/200, "pixels differ")
}

func apart(a, b uint32) uint32 { return max(a, b) - min(a, b) }
