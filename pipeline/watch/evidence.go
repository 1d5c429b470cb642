package watch

import (
	"math"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/runlength"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// typingError bounds one cast's say: a single mistyped wall must not flag a mold.
const typingError = 3

func clipped(z float64) float64 { return runlength.Clip(z, typingError) }

// lookFirst is how many casts' worth of onset the wear from a mold's first cast
// on counts as: a mold is as likely bad from the start as to turn bad within its
// first so many casts.
const lookFirst = 20

// wearSizes are the growths of wear that are looked for, in wears of the kind:
// doubled and trebled.
func wearSizes() []float64 { return []float64{1, 2} }

// limits of the charts.
type limits struct {
	thin      float64
	thinRun   float64
	wearRun   float64
	rejects   []rejectLaw // by mold
	rejectRun float64
	healthy   float64 // standard deviation of a healthy mold's wear, in wears of its kind
	interval  float64 // 95 % point of the normal law
}

func limitsFor(log history.Log, set Settings) (limits, error) {
	l := limits{thinRun: set.InControlRun / shareThin, wearRun: set.InControlRun / shareWear, interval: 1.6448536269514722}
	var err error
	if l.thin, err = runlength.Limit(set.Reference, l.thinRun); err != nil {
		return l, err
	}
	l.rejectRun = set.InControlRun / shareRejects
	l.rejects = lawsOfRejects(log, set.RejectRise, l.rejectRun)
	// A healthy mold wears no more than FastWear times as fast as its kind, in 39
	// cases of 40.
	l.healthy = (set.FastWear - 1) / 1.959963984540054
	return l, nil
}

// evidence follows a mold cast by cast.
func evidence(log history.Log, m int, t wall.Track, shifts slipShifts, lim limits, set Settings) Chart {
	mold := log.Molds[m]
	c := Chart{Mold: mold.Mold, Limit: lim.thin, WearLimit: tables.Absent(), Onset: tables.Absent(), RejectLimit: tables.Absent()}
	wear := runlength.NewSlopeChart(healthySpread(t, lim.healthy), wearSizes(), lookFirst, typingError)
	sum, wears := 0.0, false
	for _, tc := range t.Casts {
		shift, unknown := shifts.of(tc.Slip, m)
		sd := math.Sqrt(tc.Variance)
		o := runlength.Observation{
			Y: tc.Y - shift*sd, Z: tc.Z, Var: tc.Variance * (1 + unknown), Trust: tc.Trust,
			At: float64(tc.Age), Slope: math.Min(0, tc.Wear),
		}
		wears = wears || tc.Wear < 0
		z, scale := wear.Step(o)
		sum = math.Max(0, sum-clipped(z)-set.Reference)
		c.add(log.Casts[tc.Cast], z, scale, sum, wear.LogR(), lim.interval)
	}
	if wears {
		c.WearLimit = wear.Limit(lim.wearRun)
		c.Onset, c.FromFirst = wear.Onset()
	}
	lim.rejects[m].follow(&c, log.Casts[mold.First:mold.Last])
	return c
}

// add appends a cast: its error z in standard deviations of sd on the log scale,
// and what the charts say after it.
func (c *Chart) add(cast history.Cast, z, sd, sum, wear, quantile float64) {
	predicted := cast.WallMM * math.Exp(-z*sd)
	c.AgeCasts = append(c.AgeCasts, float64(cast.Age))
	c.WallMM = append(c.WallMM, cast.WallMM)
	c.PredictedMM = append(c.PredictedMM, predicted)
	c.Lower90 = append(c.Lower90, predicted*math.Exp(-quantile*sd))
	c.Upper90 = append(c.Upper90, predicted*math.Exp(quantile*sd))
	c.Z = append(c.Z, z)
	c.Sum = append(c.Sum, sum)
	c.Wear = append(c.Wear, wear)
}

// healthySpread is the spread of healthy molds' own effects: in level as fitted,
// in wear such that a share of them stays below FastWear, independent of each
// other. The fitted spread of wear will not do: it holds the bad molds, whose
// wear it would take for natural, and a shelf of a dozen molds tells neither it
// nor its correlation with the level.
func healthySpread(t wall.Track, healthy float64) [][]float64 {
	g := t.G
	if len(g) < 2 {
		return g
	}
	kind, n := 0.0, 0.0
	for _, c := range t.Casts {
		if c.Age > 0 && c.Z[1] != 0 {
			kind += c.Wear / (c.Z[1] / float64(c.Age)) // in the units of the mold's own wear
			n++
		}
	}
	if n == 0 || kind == 0 {
		return g
	}
	sd := healthy * kind / n
	out := [][]float64{{g[0][0], 0}, {0, sd * sd}}
	for i := range out {
		for k := range out {
			out[i][k] += t.Doubt[i][k]
		}
	}
	return out
}

// thin, fast and rejecting tell which chart is above its limit after the last cast.
func (c Chart) thin() bool { return above(c.Sum, c.Limit) }

func (c Chart) fast() bool { return tables.Has(c.WearLimit) && above(c.Wear, c.WearLimit) }

// FastNow reports whether the evidence of faster wear is above its limit after the
// last cast.
func (c Chart) FastNow() bool { return c.fast() }

// A Bernoulli CUSUM signals at its limit, the others above theirs.
func (c Chart) rejecting() bool {
	return tables.Has(c.RejectLimit) && len(c.Rejects) > 0 && c.Rejects[len(c.Rejects)-1] >= c.RejectLimit
}

func above(values []float64, limit float64) bool {
	return len(values) > 0 && values[len(values)-1] > limit
}

// FirstFlag is the age of the cast at which any of the charts first went past
// its limit; ok is false where none did.
func (c Chart) FirstFlag() (age float64, ok bool) {
	age = math.Inf(1)
	for i, a := range c.AgeCasts {
		if c.Sum[i] > c.Limit || tables.Has(c.WearLimit) && c.Wear[i] > c.WearLimit {
			age = math.Min(age, a)
			break
		}
	}
	for i, a := range c.RejectAge {
		if c.Rejects[i] >= c.RejectLimit {
			age = math.Min(age, a)
			break
		}
	}
	return age, !math.IsInf(age, 1)
}
