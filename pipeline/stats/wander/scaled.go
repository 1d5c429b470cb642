package wander

import (
	"fmt"
	"math"
)

// problem is the data of a fit in natural units: ages as shares of the greatest
// one, values as multiples of their scatter about the pooled line, which is
// taken off. Units and origins affect neither digits nor the path of a search.
type problem struct {
	opt            Options
	units          []unit
	designs        []design
	levels, drifts int
	readings       int

	ageScale, valueScale float64
	centre               []float64 // coefficients of the pooled line, in the caller's units

	priors [4]LogNormal // of σ, √q, s_a, s_b
	means  []Normal     // beliefs in the coefficients less the centre

	sums []sums  // by design, of the last call of gather
	last filters // of the last few ratios of wandering to noise
}

// design is a row of both designs that some units share.
type design struct {
	level, drift []float64
}

// unit is the readings of one unit about its own line α + δ(age − mid), found
// by least squares: what is left has no digits to lose.
type unit struct {
	design       int
	age          []float64 // less mid
	rest         []float64 // value less the line
	noise        []float64 // 1/weight
	step         []float64 // age since the reading before (since 0 for the first)
	mid          float64
	alpha, delta float64
	last         float64 // age at the last reading
}

func newProblem(units []Unit, opt Options) (*problem, error) {
	if len(units) == 0 {
		return nil, fmt.Errorf("no units to fit")
	}
	if err := checkAll(units); err != nil {
		return nil, err
	}
	p := &problem{opt: opt, levels: len(units[0].level()), drifts: len(units[0].drift())}
	if err := opt.check(p.levels, p.drifts); err != nil {
		return nil, err
	}
	places := make([]int, len(units))
	seen := map[string]int{}
	for i := range units {
		key := fmt.Sprint(units[i].level(), units[i].drift())
		at, ok := seen[key]
		if !ok {
			at = len(p.designs)
			seen[key] = at
			p.designs = append(p.designs, design{units[i].level(), units[i].drift()})
		}
		places[i] = at
	}
	if err := p.scales(units, places); err != nil {
		return nil, err
	}
	p.units = make([]unit, len(units))
	for i := range units {
		p.units[i] = p.scaled(&units[i], &p.designs[places[i]])
		p.units[i].design = places[i]
	}
	p.beliefs()
	return p, nil
}

// scales finds the pooled line and the scatter about it.
func (p *problem) scales(units []Unit, places []int) error {
	p.ageScale, p.valueScale = 0, 0
	for i := range units {
		p.readings += len(units[i].Ages)
		for _, age := range units[i].Ages {
			p.ageScale = max(p.ageScale, age)
		}
	}
	if p.ageScale == 0 {
		p.ageScale = 1
	}
	p.centre = p.pooled(units, places)
	sum, size := 0.0, 0.0
	for i := range units {
		a, b := p.line(p.centre, &p.designs[places[i]])
		for j, age := range units[i].Ages {
			e := units[i].Values[j] - a - b*age
			sum += e * e
			size = max(size, math.Abs(units[i].Values[j]))
		}
	}
	p.valueScale = math.Sqrt(sum / float64(max(1, p.readings)))
	if !(p.valueScale > 1e-12*size) {
		p.valueScale = p.opt.Priors.Noise.Median
	}
	if p.opt.Priors.Noise.SDLog == 0 && !(sum > 0 && p.valueScale > 1e-12*size) {
		return fmt.Errorf("%d readings that do not scatter tell nothing of their noise: a belief in it is needed", p.readings)
	}
	return nil
}

// pooled fits one line to all readings by least squares; a little ridge settles
// what the readings leave open, and a second round takes its pull off.
func (p *problem) pooled(units []Unit, places []int) []float64 {
	k := p.levels + p.drifts
	out := make([]float64, k)
	if p.readings == 0 || k == 0 {
		return out
	}
	for range 2 {
		s, r := make([]float64, k*k), make([]float64, k)
		for i := range units {
			a, b := p.line(out, &p.designs[places[i]])
			var n, x1, x2, y1, xy float64
			for j, age := range units[i].Ages {
				x, y := age/p.ageScale, units[i].Values[j]-a-b*age
				n, x1, x2, y1, xy = n+1, x1+x, x2+x*x, y1+y, xy+x*y
			}
			addDesign(s, r, &p.designs[places[i]], [3]float64{n, x1, x2}, [2]float64{y1, xy})
		}
		trace := 0.0
		for j := range k {
			trace += s[j*k+j]
		}
		for j := range k {
			s[j*k+j] += 1e-10 * trace
		}
		chol, ok := factored(s, k)
		if !ok {
			return out
		}
		chol.solve(r)
		for j, b := range r {
			if j >= p.levels {
				b /= p.ageScale
			}
			out[j] += b
		}
	}
	return out
}

// addDesign adds M'KM to the lower triangle of s, by rows, and M'h to r for the
// design M = [level 0; 0 drift] and a symmetric K = (k00, k01, k11).
func addDesign(s, r []float64, d *design, k [3]float64, h [2]float64) {
	levels, n := len(d.level), len(r)
	at := func(j int) (float64, int) {
		if j < levels {
			return d.level[j], 0
		}
		return d.drift[j-levels], 1
	}
	for i := range r {
		x, a := at(i)
		if x == 0 {
			continue
		}
		r[i] += x * h[a]
		for j := range i + 1 {
			z, b := at(j)
			s[i*n+j] += x * z * k[a+b]
		}
	}
}

// line is the level at age 0 and the drift by coefficients.
func (p *problem) line(coefficients []float64, d *design) (level, drift float64) {
	for j, x := range d.level {
		level += x * coefficients[j]
	}
	for j, x := range d.drift {
		drift += x * coefficients[p.levels+j]
	}
	return level, drift
}

func (p *problem) scaled(u *Unit, d *design) unit {
	n := len(u.Ages)
	store := make([]float64, 4*n)
	out := unit{age: store[:n], rest: store[n : 2*n], noise: store[2*n : 3*n], step: store[3*n:]}
	if n == 0 {
		return out
	}
	a, b := p.line(p.centre, d)
	sum, last := 0.0, 0.0
	for j, age := range u.Ages {
		w := u.weight(j)
		x := age / p.ageScale
		out.age[j], out.step[j] = x, x-last
		out.rest[j] = (u.Values[j] - a - b*age) / p.valueScale
		out.noise[j] = 1 / w
		out.mid += w * x
		out.alpha += w * out.rest[j]
		sum += w
		last = x
	}
	out.last = last
	out.mid /= sum
	out.alpha /= sum
	sxx, sxy := 0.0, 0.0
	for j := range n {
		out.age[j] -= out.mid
		w := u.weight(j)
		sxx += w * out.age[j] * out.age[j]
		sxy += w * out.age[j] * out.rest[j]
	}
	if sxx > 1e-24*sum {
		out.delta = sxy / sxx
	}
	for j := range n {
		out.rest[j] -= out.alpha + out.delta*out.age[j]
	}
	return out
}

// beliefs brings those of the caller to natural units.
func (p *problem) beliefs() {
	given := [4]LogNormal{p.opt.Priors.Noise, p.opt.Priors.Diffusion, p.opt.Priors.LevelSD, p.opt.Priors.DriftSD}
	scale := p.sizes()
	for k, b := range given {
		p.priors[k] = LogNormal{Median: b.Median / scale[k], SDLog: b.SDLog}
	}
	p.means = make([]Normal, p.levels+p.drifts)
	for j := range p.means {
		var b Normal
		size := p.valueScale
		switch {
		case j < p.levels && p.opt.LevelMeans != nil:
			b = p.opt.LevelMeans[j]
		case j >= p.levels && p.opt.DriftMeans != nil:
			b = p.opt.DriftMeans[j-p.levels]
		}
		if j >= p.levels {
			size /= p.ageScale
		}
		p.means[j] = Normal{Mean: (b.Mean - p.centre[j]) / size, SD: b.SD / size}
	}
}

// sizes are the units of σ, √q, s_a and s_b.
func (p *problem) sizes() [4]float64 {
	return [4]float64{p.valueScale, p.valueScale / math.Sqrt(p.ageScale), p.valueScale, p.valueScale / p.ageScale}
}
