package plaster

import (
	"fmt"
	"math"

	"moldwright/pipeline/tables"
)

// Shapes of a containment wall.
const (
	round       = "round"
	rectangular = "rectangular"
)

// containment is the inside of a containment wall: a round one has equal length
// and width, its inside diameter. Lengths in mm.
type containment struct {
	round         bool
	length, width float64
}

// area is the inside section, mm².
func (c containment) area() float64 {
	if c.round {
		return math.Pi / 4 * c.length * c.width
	}
	return c.length * c.width
}

// reach is the distance from the middle to the wall in a direction, mm. The
// angle is in radians from the direction of the length.
func (c containment) reach(angle float64) float64 {
	if c.round {
		return c.length / 2
	}
	cos, sin := math.Abs(math.Cos(angle)), math.Abs(math.Sin(angle))
	if cos*c.width > sin*c.length { // the ray meets an end, not a side
		return c.length / 2 / cos
	}
	return c.width / 2 / sin
}

// section is the model's section at one height, mm², from the gaps read there.
//
// Four or more readings stand for equally spaced directions round the model,
// the first along the length. With r_i the reach less the gap, in direction i,
// the section is the sum of sectors
//
//	½·Δθ·r_i·r_(i+1),   Δθ = 2π/n
//
// which is exact for a circle about the middle and, with four directions along
// length and width, for an ellipse. Fewer readings count by their mean g, for
// an outline that follows the wall as a circle or ellipse does:
// π/4·(length − 2g)·(width − 2g).
func (c containment) section(gaps []float64) float64 {
	n := len(gaps)
	if n < 4 {
		g := meanOf(gaps)
		return math.Pi / 4 * max(0, c.length-2*g) * max(0, c.width-2*g)
	}
	step := 2 * math.Pi / float64(n)
	radius := func(i int) float64 { return max(0, c.reach(float64(i%n)*step)-gaps[i%n]) }
	var sum float64
	for i := range n {
		sum += radius(i) * radius(i+1)
	}
	// Straight cuts between few directions can leave a corner of the wall by a
	// little: the model never fills more than the inside.
	return min(step/2*sum, c.area())
}

// tightest is the distance from the middle to the wall that a reading may not
// exceed, for reading i of n.
func (c containment) tightest(i, n int) float64 {
	if n < 4 {
		return min(c.length, c.width) / 2
	}
	return c.reach(2 * math.Pi * float64(i) / float64(n))
}

func meanOf(xs []float64) float64 {
	var sum float64
	for _, x := range xs {
		sum += x
	}
	return sum / float64(len(xs))
}

// trouble is why a pour has no needed volume, in words for its owner, with the
// column to look at.
type trouble struct {
	column, code, value, message, mend string
}

const longestMM = 20000 // a longer inside is a slip of the pen

// containmentOf reads the containment wall of a pour. A shape not given is
// taken from the lengths that are.
func containmentOf(p tables.Pour) (containment, *trouble) {
	shape := p.Shape
	if shape == "" {
		switch {
		case given(p.InsideLengthMM) && given(p.InsideWidthMM):
			shape = rectangular
		case given(p.InsideDiameterMM):
			shape = round
		default:
			return containment{}, &trouble{"shape", "no-containment-size", "", "the size inside the containment wall is not given, so the needed volume can't be told",
				"fill in inside_diameter, or inside_length and inside_width"}
		}
	}
	if shape == round {
		if t := badLength("inside_diameter", p.InsideDiameterMM); t != nil {
			return containment{}, t
		}
		return containment{round: true, length: p.InsideDiameterMM, width: p.InsideDiameterMM}, nil
	}
	if t := badLength("inside_length", p.InsideLengthMM); t != nil {
		return containment{}, t
	}
	if t := badLength("inside_width", p.InsideWidthMM); t != nil {
		return containment{}, t
	}
	return containment{length: p.InsideLengthMM, width: p.InsideWidthMM}, nil
}

func given(x float64) bool { return tables.Has(x) && x > 0 }

func badLength(column string, mm float64) *trouble {
	switch {
	case !tables.Has(mm):
		return &trouble{column, "no-containment-size", "", column + " is not given, so the needed volume can't be told", "fill in " + column}
	case !(mm > 0) || mm > longestMM:
		return &trouble{column, "containment-size", show(mm), fmt.Sprintf("%s of %s mm can't be", column, show(mm)), "check the length and its unit"}
	}
	return nil
}
