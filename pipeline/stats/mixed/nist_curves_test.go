package mixed

import (
	"math"
	"testing"
)

// formula is a curve of one number x: its value, with the derivatives by the
// parameters b written to d.
type formula func(x float64, b, d []float64) float64

// of is the formula as a curve over the rows' numbers.
func (f formula) of(x []float64) Curve {
	return func(i int, beta, _, byBeta, _ []float64) float64 { return f(x[i], beta, byBeta) }
}

// The derivatives of every formula, against central differences.
func TestDerivativesOfTheCurves(t *testing.T) {
	for _, c := range certifiedSets() {
		d, unused := make([]float64, len(c.beta)), make([]float64, len(c.beta))
		for _, x := range []float64{0.3, 1.1, 2.5} {
			if c.name == "Eckerle4" {
				x += 450
			}
			c.curve(x, c.beta, d)
			for j, v := range c.beta {
				h := 1e-5 * math.Abs(v)
				b := append([]float64(nil), c.beta...)
				b[j] = v + h
				up := c.curve(x, b, unused)
				b[j] = v - h
				down := c.curve(x, b, unused)
				near(t, (up-down)/(2*h), d[j], 1e-5, 1e-5*math.Abs(up/v), "%s, parameter %d at %g", c.name, j+1, x)
			}
		}
	}
}

// rise is b1·(1 − exp(−b2·x)).
func rise(x float64, b, d []float64) float64 {
	decay := math.Exp(-b[1] * x)
	d[0], d[1] = -math.Expm1(-b[1]*x), b[0]*x*decay
	return b[0] * d[0]
}

// inverseSquareRise is b1·(1 − (1 + b2·x/2)⁻²).
func inverseSquareRise(x float64, b, d []float64) float64 {
	u := 1 + b[1]*x/2
	d[0], d[1] = 1-1/(u*u), b[0]*x/(u*u*u)
	return b[0] * d[0]
}

// ratio is a polynomial of the given degree over another of that degree whose
// constant is 1: (b1 + b2·x + …)/(1 + b·x + …).
func ratio(degree int) formula {
	return func(x float64, b, d []float64) float64 {
		above, below, power := 0.0, 1.0, 1.0
		for i := range degree + 1 {
			d[i] = power
			above += b[i] * power
			if i > 0 {
				d[degree+i] = power
				below += b[degree+i] * power
			}
			power *= x
		}
		value := above / below
		for i := range d {
			d[i] /= below
			if i > degree {
				d[i] *= -value
			}
		}
		return value
	}
}

// quadraticRatio is b1·(x² + b2·x)/(x² + b3·x + b4).
func quadraticRatio(x float64, b, d []float64) float64 {
	above, below := x*x+b[1]*x, x*x+b[2]*x+b[3]
	share := above / below
	d[0], d[1], d[2], d[3] = share, b[0]*x/below, -b[0]*share*x/below, -b[0]*share/below
	return b[0] * share
}

// arrhenius is b1·exp(b2/(x + b3)).
func arrhenius(x float64, b, d []float64) float64 {
	u := x + b[2]
	d[0] = math.Exp(b[1] / u)
	value := b[0] * d[0]
	d[1], d[2] = value/u, -value*b[1]/(u*u)
	return value
}

// twoDecays is b1 + b2·exp(−b4·x) + b3·exp(−b5·x).
func twoDecays(x float64, b, d []float64) float64 {
	fast, slow := math.Exp(-b[3]*x), math.Exp(-b[4]*x)
	d[0], d[1], d[2], d[3], d[4] = 1, fast, slow, -b[1]*x*fast, -b[2]*x*slow
	return b[0] + b[1]*fast + b[2]*slow
}

// threeDecays is b1·exp(−b2·x) + b3·exp(−b4·x) + b5·exp(−b6·x).
func threeDecays(x float64, b, d []float64) (sum float64) {
	for i := 0; i < 6; i += 2 {
		d[i] = math.Exp(-b[i+1] * x)
		d[i+1] = -b[i] * x * d[i]
		sum += b[i] * d[i]
	}
	return sum
}

// decayOverLine is exp(−b1·x)/(b2 + b3·x).
func decayOverLine(x float64, b, d []float64) float64 {
	line := b[1] + b[2]*x
	value := math.Exp(-b[0]*x) / line
	d[0], d[1], d[2] = -x*value, -value/line, -value*x/line
	return value
}

// growth is b1/(1 + exp(b2 − b3·x))^(1/b4).
func growth(x float64, b, d []float64) float64 {
	e := math.Exp(b[1] - b[2]*x)
	log := math.Log1p(e)
	d[0] = math.Exp(-log / b[3])
	value := b[0] * d[0]
	d[1] = -value / b[3] * e / (1 + e)
	d[2], d[3] = -x*d[1], value*log/(b[3]*b[3])
	return value
}

// power is b1·x^b2.
func power(x float64, b, d []float64) float64 {
	d[0] = math.Pow(x, b[1])
	d[1] = b[0] * d[0] * math.Log(x)
	return b[0] * d[0]
}

// shiftedPower is b1·(b2 + x)^(−1/b3).
func shiftedPower(x float64, b, d []float64) float64 {
	u := b[1] + x
	d[0] = math.Pow(u, -1/b[2])
	value := b[0] * d[0]
	d[1], d[2] = -value/(b[2]*u), value*math.Log(u)/(b[2]*b[2])
	return value
}

// bell is b1/b2·exp(−((x − b3)/b2)²/2).
func bell(x float64, b, d []float64) float64 {
	z := (x - b[2]) / b[1]
	d[0] = math.Exp(-z*z/2) / b[1]
	value := b[0] * d[0]
	d[1], d[2] = value*(z*z-1)/b[1], value*z/b[1]
	return value
}
