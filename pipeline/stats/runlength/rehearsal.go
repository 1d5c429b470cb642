package runlength

import (
	"math"
	"math/rand/v2"
	"slices"

	"moldwright/pipeline/stats/chunks"
)

// Pair is a [SlopeChart] and a one-sided CUSUM of falling errors,
// S = max(0, S − z − Reference), that follow one series together: it is flagged
// where either of them first exceeds its limit.
type Pair struct {
	Sizes []float64 // of the slope chart, as are Head and Bound
	Head  float64
	Bound float64

	Reference float64 // of the CUSUM, whose errors are bounded, too
	Limit     float64
}

// Series is a series whose observations are to be drawn: their Y is not used.
type Series struct {
	Obs     []Observation
	Taken   [][]float64 // spread of b that the slope chart takes for granted
	True    [][]float64 // spread of b that series are drawn from, and that the CUSUM's forecasts know
	Charted bool        // whether the slope chart is kept
	Source  rand.Source
}

// SlopeLimit is the log of R at which healthy series as long as those given are
// flagged once in inControl observations, both charts together, counted until
// each series ends or is flagged. It draws about so many observations.
//
// The bound of [SlopeChart.Limit] holds for series without end. R starts low and
// takes long to come near its limit, so that series which end after some dozen
// observations are flagged several times more seldom than it promises; and where
// both charts are wrong about one series it counts them twice.
//
// The run is the number of observations to a flag that came of it. Where the
// CUSUM alone is flagged more often, the limit is +Inf.
func (p Pair) SlopeLimit(all []Series, inControl float64, observations int) (limit, run float64) {
	total := 0
	for _, s := range all {
		total += min(len(s.Obs), mostPaths)
	}
	if total == 0 {
		return math.Inf(1), math.Inf(1)
	}
	// Many series: each so-manyth once. Few: each several times.
	stride, times := max(1, total/max(1, observations)), max(1, (observations+total-1)/total)
	// Each series has its own source, so that they may be drawn side by side.
	runs := make([]rehearsed, times*((len(all)+stride-1)/stride))
	chunks.Each(len(runs)/times, 1, func(k, _, _ int) {
		r := p.prepare(all[k*stride])
		for i := range times {
			runs[k*times+i] = r.draw(p)
		}
	})
	var reached []float64
	for _, r := range runs {
		reached = append(reached, r.records...)
	}
	slices.Sort(reached)
	// A limit at a record is not exceeded by it.
	low, high := 0, len(reached)
	for low < high {
		middle := (low + high) / 2
		if flagged, seen := count(runs, reached[middle]); flagged*inControl > seen {
			low = middle + 1
		} else {
			high = middle
		}
	}
	limit = math.Inf(1)
	if low < len(reached) {
		limit = reached[low]
	}
	flagged, seen := count(runs, limit)
	return limit, seen / flagged
}

// rehearsed is one drawn series: where log R reached a new height, and where the
// CUSUM first exceeded its limit.
type rehearsed struct {
	length  int
	at      []int
	records []float64 // rising
	cusum   int       // length where never
}

// count is how many runs are flagged at a limit of log R, and the observations
// until then.
func count(runs []rehearsed, limit float64) (flagged, seen float64) {
	for _, r := range runs {
		end := r.cusum
		if i, _ := slices.BinarySearchFunc(r.records, limit, func(v, l float64) int {
			if v > l {
				return 1
			}
			return -1
		}); i < len(r.at) {
			end = min(end, r.at[i])
		}
		if end < r.length {
			flagged++
			end++
		}
		seen += float64(end)
	}
	return flagged, seen
}

// script is what the charts of a series do whatever is drawn: the gains of both
// filters and what each place's change would tell.
type script struct {
	series Series
	rng    *rand.Rand
	root   [][]float64
	slope  []told
	cusum  []told
}

// told is a filter's part at one observation.
type told struct {
	variance float64
	gain     []float64
	tells    []float64 // by place: growth of log Λ of size one by an error of one
	costs    []float64 // by place: b of path, summed so far
	halved   []float64 // by place: e to minus that, where sizes are 1 and 2
}

func (p Pair) prepare(s Series) script {
	s.Obs = s.Obs[:min(len(s.Obs), mostPaths)]
	out := script{series: s, rng: rand.New(s.Source), root: lowerRoot(s.True)}
	known := NewFilter(s.True)
	for _, o := range s.Obs {
		o.Y = 0
		_, variance, gain := known.Step(o)
		out.cusum = append(out.cusum, told{variance: variance, gain: gain})
	}
	if !s.Charted {
		return out
	}
	c := NewSlopeChart(s.Taken, p.Sizes, p.Head, p.Bound)
	before := make([]float64, 0, len(s.Obs)+1)
	for _, o := range s.Obs {
		o.Y = 0
		variance, gain := c.take(o, 1)
		t := told{variance: variance, gain: gain}
		for i, q := range c.paths {
			if i == len(before) {
				before = append(before, 0)
			}
			t.tells, t.costs = append(t.tells, q.a-before[i]), append(t.costs, q.b)
			before[i] = q.a
		}
		if p.doubling() {
			for _, c := range t.costs {
				t.halved = append(t.halved, math.Exp(-c))
			}
		}
		out.slope = append(out.slope, t)
	}
	return out
}

// draw is one healthy series under both charts.
func (s script) draw(p Pair) rehearsed {
	q := len(s.root)
	b := make([]float64, q)
	z := make([]float64, q)
	for i := range z {
		z[i] = s.rng.NormFloat64()
		for j := 0; j <= i; j++ {
			b[i] += s.root[i][j] * z[j]
		}
	}
	out := rehearsed{length: len(s.series.Obs), cusum: len(s.series.Obs)}
	known, taken := make([]float64, q), make([]float64, q)
	weights := make([]float64, len(s.series.Obs)+1) // a of the paths
	sum, top := 0.0, math.Inf(-1)
	for i, o := range s.series.Obs {
		y := math.Sqrt(o.Var) * s.rng.NormFloat64()
		for j := range q {
			y += o.Z[j] * b[j]
		}
		e := s.cusum[i].step(known, o.Z, y)
		sum = math.Max(0, sum-Clip(e/math.Sqrt(s.cusum[i].variance), p.Bound)-p.Reference)
		if sum > p.Limit && out.cusum == out.length {
			out.cusum = i
		}
		if !s.series.Charted {
			continue
		}
		sd := math.Sqrt(s.slope[i].variance)
		e = Clip(s.slope[i].step(taken, o.Z, y)/sd, p.Bound) * sd
		if log := p.logR(s.slope[i], weights, e); log > top {
			top = log
			out.at, out.records = append(out.at, i), append(out.records, log)
		}
	}
	return out
}

// step moves the mean of a filter and returns its error.
func (t told) step(mean, z []float64, y float64) float64 {
	for j := range mean {
		y -= z[j] * mean[j]
	}
	for j := range mean {
		mean[j] += t.gain[j] * y
	}
	return y
}

// doubling reports whether the sizes are 1 and 2, which are looked for so often
// that their exponentials are had from one.
func (p Pair) doubling() bool { return len(p.Sizes) == 2 && p.Sizes[0] == 1 && p.Sizes[1] == 2 }

// logR is that of [SlopeChart], the error e taken in.
func (p Pair) logR(t told, a []float64, e float64) float64 {
	sum := 0.0
	if t.halved != nil {
		for k, tells := range t.tells {
			a[k] += tells * e
			once := math.Exp(a[k] - t.costs[k]/2)
			ratio := once + once*once*t.halved[k] // 2a − 2c = 2(a − c/2) − c
			if k == 0 && p.Head > 0 {
				ratio *= p.Head
			}
			sum += ratio
		}
		return math.Log(sum / 2)
	}
	for k, tells := range t.tells {
		a[k] += tells * e
		ratio := 0.0
		for _, f := range p.Sizes {
			ratio += math.Exp(f*a[k] - f*f*t.costs[k]/2)
		}
		if k == 0 && p.Head > 0 {
			ratio *= p.Head
		}
		sum += ratio
	}
	return math.Log(sum / float64(len(p.Sizes)))
}

// lowerRoot is a lower triangular square root of a covariance that may be singular.
func lowerRoot(cov [][]float64) [][]float64 {
	l := make([][]float64, len(cov))
	for i := range cov {
		l[i] = make([]float64, len(cov))
		for j := 0; j <= i; j++ {
			s := cov[i][j]
			for k := range j {
				s -= l[i][k] * l[j][k]
			}
			switch {
			case i == j:
				l[i][i] = math.Sqrt(math.Max(0, s))
			case l[j][j] > 0:
				l[i][j] = s / l[j][j]
			}
		}
	}
	return l
}
