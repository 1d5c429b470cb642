package wander

import "math"

// descent is a search for a minimum by BFGS with differences for slopes (Nocedal &
// Wright 2006, Numerical Optimization, ch. 6), for a handful of coordinates.
type descent struct {
	f    func([]float64) float64
	care care
	at   []float64
	best float64

	slope, next, move []float64
	inverse           []float64 // estimate of the inverse Hessian, by rows
}

// descend moves at to a minimum of f near it. It is stuck where a line search finds
// nothing lower although the slope promises it.
func descend(f func([]float64) float64, at []float64, c care) (best float64, stuck bool) {
	n := len(at)
	store := make([]float64, 3*n+n*n)
	d := descent{f: f, care: c, at: at, best: f(at), slope: store[:n], next: store[n : 2*n], move: store[2*n : 3*n], inverse: store[3*n:]}
	d.slopes(d.slope)
	fresh, idle := true, 0
	for range c.steps {
		if fresh {
			d.steepest()
		}
		down := 0.0
		for i := range n {
			d.move[i] = 0
			for j := range n {
				d.move[i] -= d.inverse[i*n+j] * d.slope[j]
			}
			down += d.move[i] * d.slope[i]
		}
		fell := d.line(down)
		if !(fell > 0) {
			if norm(d.slope) < flat || fresh {
				return d.best, norm(d.slope) >= flat
			}
			fresh = true // the estimate misled: begin it anew
			continue
		}
		d.slopes(d.next)
		fresh = false
		d.update()
		d.slope, d.next = d.next, d.slope
		if idle++; fell > c.enough {
			idle = 0
		}
		if idle >= enoughIdle || norm(d.slope) < flat {
			return d.best, false
		}
	}
	return d.best, false
}

const (
	flat       = 1e-7 // slope at which a search ends
	enoughIdle = 3    // steps in which f hardly fell
	longest    = 2.0  // a step, in logarithms of spreads
)

func norm(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x * x
	}
	return math.Sqrt(sum)
}

// slopes are by differences: forward, or central with care for it.
func (d *descent) slopes(out []float64) {
	h := d.care.h
	for i, x := range d.at {
		d.at[i] = x + h
		up := d.f(d.at)
		if d.care.central {
			d.at[i] = x - h
			out[i] = (up - d.f(d.at)) / (2 * h)
		} else {
			out[i] = (up - d.best) / h
		}
		d.at[i] = x
	}
}

// steepest begins the estimate with a multiple of the identity: a step of a half.
func (d *descent) steepest() {
	n := len(d.at)
	clear(d.inverse)
	for i := range n {
		d.inverse[i*n+i] = 0.5 / max(0.5, norm(d.slope))
	}
}

// line goes along the move, shortened until f falls as its slope promises (Armijo),
// and says by how much it fell; 0 where it does not.
func (d *descent) line(down float64) float64 {
	if !(down < 0) {
		return 0
	}
	n := len(d.at)
	from := make([]float64, n)
	copy(from, d.at)
	share := min(1, longest/norm(d.move))
	for range 30 {
		for i := range n {
			d.at[i] = from[i] + share*d.move[i]
		}
		value := d.f(d.at)
		if value <= d.best+1e-4*share*down {
			fell := d.best - value
			d.best = value
			for i := range n {
				d.move[i] *= share
			}
			return fell
		}
		// The least of the parabola through both values and the slope.
		least := -down * share / (2 * (value - d.best - down*share))
		share *= min(max(least, 0.1), 0.5)
	}
	copy(d.at, from)
	return 0
}

// update learns of the inverse Hessian from the last move and the slopes' change.
func (d *descent) update() {
	n := len(d.at)
	change := make([]float64, n)
	ys, ss := 0.0, 0.0
	for i := range n {
		change[i] = d.next[i] - d.slope[i]
		ys += change[i] * d.move[i]
		ss += d.move[i] * d.move[i]
	}
	if !(ys > 1e-10*math.Sqrt(ss)*norm(change)) {
		return // f bends the other way here
	}
	hy := make([]float64, n)
	yhy := 0.0
	for i := range n {
		for j := range n {
			hy[i] += d.inverse[i*n+j] * change[j]
		}
		yhy += change[i] * hy[i]
	}
	for i := range n {
		for j := range n {
			d.inverse[i*n+j] += (ys+yhy)*d.move[i]*d.move[j]/(ys*ys) - (hy[i]*d.move[j]+d.move[i]*hy[j])/ys
		}
	}
}
