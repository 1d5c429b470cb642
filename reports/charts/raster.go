package charts

import (
	"image"
	"image/color"
	"math"
	"sync"

	"git.sr.ht/~sbinet/gg"
	"golang.org/x/image/math/fixed"
	vgfont "gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
)

// raster is the plot library's canvas of pixels, with what charts are mostly made of
// put on it more quickly: letters as they are, which the library resamples, though they
// lie on whole pixels; boxes; and round marks, see stamp.
type raster struct {
	*vgimg.Canvas
	pixels        *image.RGBA
	width, height vg.Length
	dpi           float64
	pens          []penState // as of each Push
	letters       *letters
	moved         bool // whether anything is turned or shifted: the library then draws it
}

// penState is how lines and areas are drawn.
type penState struct {
	color  tint
	width  vg.Length
	dashed bool
}

// newRaster is blank paper of a size. It uses the memory that spare has left over.
func newRaster(width, height vg.Length, dpi int, spare *spares) *raster {
	dots := func(l vg.Length) int { return int(l/vg.Inch*vg.Length(dpi) + 0.5) }
	pixels := spare.paper(dots(width), dots(height))
	ctx := gg.NewContextForRGBA(pixels)
	ctx.SetLineCapButt()
	ctx.InvertY()
	r := &raster{
		Canvas: vgimg.NewWith(vgimg.UseImageWithContext(pixels, ctx), vgimg.UseDPI(dpi)), // paints it white
		pixels: pixels, width: width, height: height, dpi: float64(dpi),
		pens: make([]penState, 1), letters: spare.lettersFor(float64(dpi)),
	}
	vg.Initialize(r)
	return r
}

func (r *raster) now() *penState { return &r.pens[len(r.pens)-1] }

// Size is the size asked for, which need not be whole pixels.
func (r *raster) Size() (w, h vg.Length) { return r.width, r.height }

func (r *raster) SetColor(c color.Color) {
	r.Canvas.SetColor(c)
	r.now().color = tintOf(c)
}

func (r *raster) SetLineWidth(w vg.Length) {
	r.Canvas.SetLineWidth(w)
	r.now().width = w
}

func (r *raster) SetLineDash(dashes []vg.Length, offset vg.Length) {
	r.Canvas.SetLineDash(dashes, offset)
	r.now().dashed = len(dashes) > 0
}

func (r *raster) Push() {
	r.Canvas.Push()
	r.pens = append(r.pens, *r.now())
}

func (r *raster) Pop() {
	r.Canvas.Pop()
	r.pens = r.pens[:len(r.pens)-1]
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
	dot := fixed.Point26_6{X: sixtyFourths(at.X.Dots(r.dpi)), Y: sixtyFourths(r.height.Dots(r.dpi) - at.Y.Dots(r.dpi))}
	r.letters.set(r.pixels, f, dot, image.NewUniform(r.now().color), text)
}

// tintOf is the tint of a color without its transparency: charts have none.
func tintOf(c color.Color) tint {
	if c == nil {
		return 0
	}
	red, green, blue, _ := c.RGBA()
	return tint(red>>8<<16 | green>>8<<8 | blue>>8)
}

// sixtyFourths rounds pixels as the drawing library does.
func sixtyFourths(pixels float64) fixed.Int26_6 { return fixed.Int26_6(math.Round(pixels * 64)) }

// spares keep the memory of pictures that are done for the next ones. Any number of
// goroutines may use them.
type spares struct {
	mu      sync.Mutex
	papers  [][]uint8
	packers sync.Pool // of *packer
	letters sync.Pool // of *letters
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

// done gives up what a picture needed.
func (s *spares) done(r *raster) {
	s.letters.Put(r.letters)
	s.mu.Lock()
	defer s.mu.Unlock()
	s.papers = append(s.papers, r.pixels.Pix)
}

// lettersFor are letters for a resolution that no other picture uses meanwhile.
func (s *spares) lettersFor(dpi float64) *letters {
	if l, ok := s.letters.Get().(*letters); ok && l.dpi == dpi {
		return l
	}
	return newLetters(dpi)
}

// packer is one that no picture is being packed with.
func (s *spares) packer() *packer {
	if p, ok := s.packers.Get().(*packer); ok {
		return p
	}
	return &packer{}
}
