package charts

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"sync"

	"git.sr.ht/~sbinet/gg"
	"golang.org/x/image/font"
	"golang.org/x/image/math/fixed"
	vgfont "gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
)

// raster is the plot library's canvas of pixels with letters put on as they are. The
// library resamples each letter, though it lies on whole pixels, and makes its font
// anew for each line of text: together a third of the time of drawing.
type raster struct {
	*vgimg.Canvas
	pixels        *image.RGBA
	width, height vg.Length
	dpi           float64
	colors        []color.Color // that of letters, as of each Push
	faces         map[vgfont.Font]font.Face
	moved         bool // whether anything is turned or shifted: the library then sets the letters
}

// newRaster is blank paper of a size. It uses the memory that spare has left over.
func newRaster(width, height vg.Length, dpi int, spare *spares) *raster {
	dots := func(l vg.Length) int { return int(l/vg.Inch*vg.Length(dpi) + 0.5) }
	pixels := spare.paper(dots(width), dots(height))
	ctx := gg.NewContextForRGBA(pixels)
	ctx.SetLineCapButt()
	ctx.InvertY()
	return &raster{
		Canvas: vgimg.NewWith(vgimg.UseImageWithContext(pixels, ctx), vgimg.UseDPI(dpi)), // paints it white
		pixels: pixels, width: width, height: height, dpi: float64(dpi),
		colors: []color.Color{color.Black}, faces: map[vgfont.Font]font.Face{},
	}
}

// Size is the size asked for, which need not be whole pixels.
func (r *raster) Size() (w, h vg.Length) { return r.width, r.height }

func (r *raster) SetColor(c color.Color) {
	r.Canvas.SetColor(c)
	r.colors[len(r.colors)-1] = c
}

func (r *raster) Push() {
	r.Canvas.Push()
	r.colors = append(r.colors, r.colors[len(r.colors)-1])
}

func (r *raster) Pop() {
	r.Canvas.Pop()
	r.colors = r.colors[:len(r.colors)-1]
}

func (r *raster) Rotate(angle float64) {
	r.moved = true
	r.Canvas.Rotate(angle)
}

func (r *raster) Translate(by vg.Point) {
	r.moved = true
	r.Canvas.Translate(by)
}

func (r *raster) Scale(x, y float64) {
	r.moved = true
	r.Canvas.Scale(x, y)
}

// FillString writes one line of text with its baseline at a point.
func (r *raster) FillString(f vgfont.Face, at vg.Point, text string) {
	if r.moved || f.Font.Size == 0 {
		r.Canvas.FillString(f, at, text)
		return
	}
	face, ok := r.faces[f.Font]
	if !ok {
		face = f.FontFace(r.dpi)
		r.faces[f.Font] = face
	}
	dot := fixed.Point26_6{X: sixtyFourths(at.X.Dots(r.dpi)), Y: sixtyFourths(r.height.Dots(r.dpi) - at.Y.Dots(r.dpi))}
	ink := image.NewUniform(r.colors[len(r.colors)-1])
	before := rune(-1)
	for _, c := range text {
		if before >= 0 {
			dot.X += face.Kern(before, c)
		}
		box, mask, from, advance, ok := face.Glyph(dot, c)
		if !ok {
			continue
		}
		draw.DrawMask(r.pixels, box, ink, image.Point{}, mask, from, draw.Over)
		dot.X += advance
		before = c
	}
}

// sixtyFourths rounds pixels as the drawing library does.
func sixtyFourths(pixels float64) fixed.Int26_6 { return fixed.Int26_6(math.Round(pixels * 64)) }

// spares keep the memory of pictures that are done for the next ones. Any number of
// goroutines may use them.
type spares struct {
	mu      sync.Mutex
	papers  [][]uint8
	packers sync.Pool // of *packer
}

// paper is a picture of any content.
func (s *spares) paper(width, height int) *image.RGBA {
	bounds, need := image.Rect(0, 0, width, height), 4*width*height
	s.mu.Lock()
	defer s.mu.Unlock()
	for i, p := range s.papers {
		if cap(p) >= need {
			s.papers = append(s.papers[:i], s.papers[i+1:]...)
			return &image.RGBA{Pix: p[:need], Stride: 4 * width, Rect: bounds}
		}
	}
	return image.NewRGBA(bounds)
}

// done gives a picture's memory up.
func (s *spares) done(picture *image.RGBA) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.papers = append(s.papers, picture.Pix)
}

// packer is one that no picture is being packed with.
func (s *spares) packer() *packer {
	if p, ok := s.packers.Get().(*packer); ok {
		return p
	}
	return newPacker()
}
