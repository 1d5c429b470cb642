package wander

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// A trial forecasts, for every unit of a published set and from several shares
// of its path on, when it will cross each of several levels: the others' full
// paths and its own path so far are known, nothing else.
type trial struct {
	name   string
	units  []Unit // values on the scale of the power chosen by the training units
	levels []float64
	powers []float64 // of the values: z = (y^power − 1)/power, log for 0
	opt    Options
}

// power is the Box-Cox transformation.
func power(y, by float64) float64 {
	if by == 0 {
		return math.Log(y)
	}
	return (math.Pow(y, by) - 1) / by
}

func (r *trial) transformed(by float64) []Unit {
	out := slices.Clone(r.units)
	for i := range out {
		out[i].Values = slices.Clone(out[i].Values)
		for j, y := range out[i].Values {
			out[i].Values[j] = power(y, by)
		}
	}
	return out
}

// chosen is the power under which the paths of the training units are likeliest,
// straight or wandering.
func (r *trial) chosen(t *testing.T, without int) float64 {
	best, at := math.Inf(-1), r.powers[0]
	if len(r.powers) == 1 {
		return at
	}
	for _, by := range r.powers {
		units := r.transformed(by)
		jacobian := 0.0
		for i := range units {
			if i != without {
				for _, y := range r.units[i].Values {
					jacobian += (by - 1) * math.Log(y)
				}
			}
		}
		units = slices.Delete(units, without, without+1)
		opt := r.opt
		opt.Criterion, opt.Points = ML, 1
		m, err := Fit(units, opt)
		require.NoError(t, err)
		if l := m.LogLik + jacobian; l > best {
			best, at = l, by
		}
	}
	return at
}

// asked is one forecast beside what happened.
type asked struct {
	low, high float64 // the place of what happened among the draws: a range where the path ended before
	crossed   bool    // within the readings
	width     float64 // of the 80 % interval, in path lengths
	pinball   float64 // at 10, 50 and 90 %, in path lengths, both sides cut at the end of the path
}

const (
	drawn   = 500
	horizon = 3 // in path lengths
)

// crossing is the age at which readings first pass the level, by interpolation.
func crossing(u *Unit, level float64) (float64, bool) {
	for j, y := range u.Values {
		if y > level {
			if j == 0 {
				return u.Ages[0], true
			}
			a, b := u.Values[j-1], y
			return u.Ages[j-1] + (u.Ages[j]-u.Ages[j-1])*(level-a)/(b-a), true
		}
	}
	return 0, false
}

// ask makes every forecast with straight paths, with wandering ones, and with
// the choice between them.
func (r *trial) ask(t *testing.T, known []float64) (straight, wandering, chosen []asked) {
	t.Helper()
	for i := range r.units {
		by := r.chosen(t, i)
		full := r.transformed(by)
		n := len(full[i].Ages)
		for _, share := range known {
			k := int(math.Round(share * float64(n)))
			if k < 2 || k >= n {
				continue
			}
			units := slices.Clone(full)
			units[i].Ages, units[i].Values = units[i].Ages[:k], units[i].Values[:k]
			c, err := Choose(units, r.opt)
			require.NoError(t, err)
			fs, fw := c.Straight.Forecast(i), c.Wandering.Forecast(i)
			for _, level := range r.levels {
				s, ok := r.askOne(&fs, &full[i], k, power(level, by))
				if !ok {
					continue
				}
				w, _ := r.askOne(&fw, &full[i], k, power(level, by))
				straight, wandering = append(straight, s), append(wandering, w)
				if c.Best() == c.Straight {
					chosen = append(chosen, s)
				} else {
					chosen = append(chosen, w)
				}
			}
		}
	}
	return straight, wandering, chosen
}

// askOne is false where the level was passed before the forecast.
func (r *trial) askOne(f *Forecast, u *Unit, known int, level float64) (asked, bool) {
	for _, y := range u.Values[:known] {
		if y > level {
			return asked{}, false
		}
	}
	rng := rand.New(rand.NewPCG(uint64(known), math.Float64bits(level)))
	end := u.Ages[len(u.Ages)-1]
	length := end - u.Ages[0]
	at := make([]float64, drawn)
	limit := func(float64) float64 { return level }
	for k := range at {
		p := f.Draw(rng)
		age, crossed := p.FirstPassage(limit, Above, math.Ceil(horizon*end))
		if crossed && age > f.age {
			age -= 0.5 // between two whole ages
		}
		at[k] = age
	}
	slices.Sort(at)
	below := func(x float64) float64 {
		n, _ := slices.BinarySearch(at, x)
		return float64(n) / drawn
	}
	truth, crossed := crossing(u, level)
	out := asked{crossed: crossed, high: 1}
	if crossed {
		out.low = below(truth)
		out.high = out.low
	} else {
		truth = end
		out.low = below(end)
	}
	q := func(p float64) float64 { return at[int(p*drawn)] }
	out.width = (q(0.9) - q(0.1)) / length
	for _, p := range []float64{0.1, 0.5, 0.9} {
		d := truth - min(q(p), end)
		out.pinball += max(p*d, (p-1)*d) / length / 3
	}
	return out, true
}

// held is the share of forecasts whose central interval held what happened;
// where a path ended before crossing, the share that it would hold on average if
// the forecast were right from there on.
func held(all []asked, level float64, crossedOnly bool) float64 {
	lo, hi := (1-level)/2, (1+level)/2
	sum, n := 0.0, 0
	for _, a := range all {
		if crossedOnly && !a.crossed {
			continue
		}
		n++
		switch {
		case a.crossed && a.low >= lo && a.low <= hi:
			sum++
		case !a.crossed && a.low < 1:
			sum += max(0, min(hi, a.high)-max(lo, a.low)) / (a.high - a.low)
		}
	}
	return sum / float64(max(1, n))
}

func mean(all []asked, of func(asked) float64) float64 {
	sum := 0.0
	for _, a := range all {
		sum += of(a)
	}
	return sum / float64(len(all))
}

func count(all []asked, of func(asked) bool) int {
	n := 0
	for _, a := range all {
		if of(a) {
			n++
		}
	}
	return n
}
