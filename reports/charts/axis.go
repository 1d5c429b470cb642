package charts

import (
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"

	"moldwright/pipeline/format"
)

// scale is what an axis spans and how its numbers are written.
type scale struct {
	lo, hi  float64 // hi > lo, both finite
	whole   bool    // ticks on whole numbers only, as for casts
	percent bool    // the quantity is a part of one, written in percent
}

type tick struct {
	at    float64
	label string // "" for a mark without a number
}

// largest is the largest number that a chart shows. No mold, cast or pour has
// one beyond it, and no label would fit.
const largest = 1e9

// drawable reports whether x is a number that can be placed on an axis.
func drawable(x float64) bool { return math.Abs(x) <= largest }

// span returns the limits that show the values, without those so far off the
// rest that showing them would squeeze the rest (more than three times the
// width of the middle half away from it, the usual fence for what is far out).
// ok is false where there is no value at all.
func span(values ...[]float64) (lo, hi float64, ok bool) {
	var all []float64
	for _, vs := range values {
		for _, v := range vs {
			if drawable(v) {
				all = append(all, v)
			}
		}
	}
	if len(all) == 0 {
		return 0, 0, false
	}
	slices.Sort(all)
	quarter, threeQuarters := all[len(all)/4], all[(3*len(all)-1)/4]
	fence := 3 * (threeQuarters - quarter)
	if len(all) < 8 || fence <= 0 {
		return all[0], all[len(all)-1], true
	}
	lo, hi = quarter, threeQuarters
	for _, v := range all {
		if v >= quarter-fence {
			lo = min(lo, v)
		}
		if v <= threeQuarters+fence {
			hi = max(hi, v)
		}
	}
	return lo, hi, true
}

// over returns the scale from 0 to a little beyond hi, at least so wide. Where hi is no
// number that can be placed, it is the least.
func over(hi, least float64) scale {
	if !drawable(hi) {
		hi = least
	}
	return scale{lo: 0, hi: max(hi, least) * 1.06}
}

// around returns the scale about lo to hi with a little room on both sides, at least so wide.
func around(lo, hi, least float64) scale {
	if hi-lo < least {
		mid := (lo + hi) / 2
		lo, hi = mid-least/2, mid+least/2
	}
	room := (hi - lo) * 0.05
	s := scale{lo: lo - room, hi: hi + room}
	return s
}

// ticks returns ticks at round numbers inside the scale, at most so many.
func (s scale) ticks(most int) []tick {
	width := s.hi - s.lo
	step := roundStep(width / float64(max(most, 1)+1))
	for i := 0; i < 5 && math.Floor(s.hi/step)-math.Ceil(s.lo/step)+1 > float64(most); i++ {
		step = roundStep(step * 1.01)
	}
	if s.whole {
		step = max(step, 1)
	}
	var out []tick
	first := math.Ceil(s.lo/step - 1e-9)
	for k := range 40 {
		at := (first + float64(k)) * step
		if at > s.hi+step*1e-9 {
			break
		}
		out = append(out, tick{at, s.number(at, step)})
	}
	return out
}

// roundStep is the least of 1, 2, 5 times a power of ten that is no less than x.
func roundStep(x float64) float64 {
	if !(x > 0) {
		return 1
	}
	power := math.Pow(10, math.Floor(math.Log10(x)))
	for _, m := range []float64{1, 2, 5} {
		if m*power >= x*(1-1e-9) {
			return m * power
		}
	}
	return 10 * power
}

// number writes a tick's value with the decimals that its step needs, and
// never with an exponent.
func (s scale) number(x, step float64) string {
	if s.percent {
		return format.Fixed(100*x, decimals(100*step))
	}
	if step >= 1e6 {
		return format.Fixed(x/1e6, 0) + " million"
	}
	return grouped(format.Fixed(x, decimals(step)))
}

func decimals(step float64) int {
	d := 0
	for ; d < 6 && math.Abs(step-math.Round(step)) > 1e-6*step; d++ {
		step *= 10
	}
	return d
}

// grouped parts the thousands of a written whole number by thin spaces, from 10 000 on.
func grouped(s string) string {
	digits, isNegative := strings.CutPrefix(s, "−")
	if len(digits) < 5 || strings.Contains(digits, ".") {
		return s
	}
	var b strings.Builder
	if isNegative {
		b.WriteString("−")
	}
	for i, r := range digits {
		if i > 0 && (len(digits)-i)%3 == 0 {
			b.WriteRune('\u2009')
		}
		b.WriteRune(r)
	}
	return b.String()
}

// ticksWithin returns the most ticks, up to a limit, whose labels stand clear of
// each other on a horizontal axis of that length.
func (s scale) ticksWithin(f font.Face, length vg.Length, most int) []tick {
	for n := most; n > 2; n-- {
		ts := s.ticks(n)
		if clearOf(f, s, ts, length) {
			return ts
		}
	}
	return s.ticks(2)
}

func clearOf(f font.Face, s scale, ts []tick, length vg.Length) bool {
	for i := 1; i < len(ts); i++ {
		apart := vg.Length((ts[i].at-ts[i-1].at)/(s.hi-s.lo)) * length
		if apart < (f.Width(ts[i].label)+f.Width(ts[i-1].label))/2+6 {
			return false
		}
	}
	return true
}

// widest is the width of the widest label.
func widest(f font.Face, ts []tick) vg.Length {
	var w vg.Length
	for _, t := range ts {
		w = max(w, f.Width(t.label))
	}
	return w
}
