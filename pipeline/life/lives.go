package life

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// A posterior of laws is taken at so many places of log shape and of log scale given
// it, by Gauss and Hermite's rule: exact for polynomials of twice the degree.
const (
	shapePlaces = 6
	scalePlaces = 10
)

// mortality is the law of lives of one kind, with what is uncertain of it, in
// cumulative hazards at whole ages and a half.
type mortality struct {
	weight []float64   // of the places of the posterior
	hazard [][]float64 // by place, then age, up to where nobody lives
	alive  [][]float64 // exp(−hazard)
}

const (
	nobody  = 1e-9  // chance below which nobody is left
	deepest = 300.0 // hazard from which chances are told by differences of hazards, before they are lost to rounding
	huge    = 1e300
	surely  = 25.0 // hazard after the oldest mold's age that nobody survives
)

// mortality at ages up to the oldest mold's and so many casts more.
func (k kindFit) mortality(oldest, horizon int) mortality {
	cov := k.fit.CovLog
	sd := math.Sqrt(cov[0][0])
	slope := cov[0][1] / sd
	rest := math.Sqrt(max(0, cov[1][1]-slope*slope))
	var m mortality
	n := oldest + horizon + 1
	logs := make([]float64, n)
	for i := range logs {
		logs[i] = math.Log(float64(i) + halfCast)
	}
	powers := make([]float64, n) // age^shape
	for _, a := range hermite(shapePlaces) {
		shape := k.fit.Shape * math.Exp(sd*a.at)
		for i, l := range logs {
			powers[i] = math.Exp(shape * l)
		}
		for _, b := range hermite(scalePlaces) {
			scale := math.Log(k.fit.Scale) + slope*a.at + rest*b.at
			per := math.Exp(-shape * scale)
			hazard, alive := make([]float64, 0, n), make([]float64, 0, n)
			for i, power := range powers {
				h := power * per
				if per == 0 || power > huge { // both powers are beyond what a number holds
					h = math.Exp(shape * (logs[i] - scale))
				}
				if i > oldest && h-hazard[oldest] > surely {
					break // nobody lives so long: the rest is left out
				}
				hazard, alive = append(hazard, h), append(alive, math.Exp(-h))
			}
			m.weight = append(m.weight, a.weight*b.weight)
			m.hazard, m.alive = append(m.hazard, hazard), append(m.alive, alive)
		}
	}
	return m
}

// survival are the chances that a mold which has made so many casts makes more than
// 1, 2 … further ones before it wears out or breaks; that of 0 is 1. They end where
// nobody is left, or at the horizon, beyond which nobody is looked for.
func (m mortality) survival(age, horizon int) []float64 {
	chance := make([]float64, horizon)
	chance[0] = 1
	for k, w := range m.weight {
		now := m.hazard[k][age]
		if now < deepest {
			scaled := w / m.alive[k][age]
			further := m.alive[k][age+1:]
			for j, alive := range further[:min(len(further), horizon-1)] {
				chance[j+1] += scaled * alive
			}
			continue
		}
		for j := 1; j < horizon && age+j < len(m.hazard[k]); j++ {
			if more := m.hazard[k][age+j] - now; more < surely {
				chance[j] += w * math.Exp(-more)
			}
		}
	}
	n := 1
	for n < horizon && chance[n] >= nobody {
		n++
	}
	return append(chance[:n:n], 0)
}

// node is a place of a rule of integration over a standard normal law.
type node struct{ at, weight float64 }

// hermite is Gauss and Hermite's rule of n places for a standard normal law.
func hermite(n int) []node {
	x, w := make([]float64, n), make([]float64, n)
	quad.Hermite{}.FixedLocations(x, w, math.Inf(-1), math.Inf(1)) // for exp(−x²)
	out := make([]node, n)
	for i := range out {
		out[i] = node{math.Sqrt2 * x[i], w[i] / math.Sqrt(math.Pi)}
	}
	return out
}
