package watch

import (
	"math"
	"slices"

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

// detail is at which casts a chart says how much speaks for wear that grew.
type detail int

const (
	atTheLast detail = iota // which is enough to judge a mold, and most are not told of
	atEach
)

// evidence follows a mold cast by cast.
func evidence(log history.Log, m int, t wall.Track, shifts *slipShifts, lim limits, set Settings, told detail) Chart {
	mold := log.Molds[m]
	c := Chart{Mold: mold.Mold, Limit: lim.thin, WearLimit: tables.Absent(), Onset: tables.Absent(), RejectLimit: tables.Absent()}
	healthy := healthySpread(t, lim.healthy)
	wear := runlength.NewSlopeChart(healthy, wearSizes(), lookFirst, typingError)
	forecasts := runlength.NewFilter(doubted(healthy, t.Doubt))
	sum := 0.0
	steps := observations(t, shifts, m)
	for i, o := range steps {
		wear.Step(o)
		e, variance, _ := forecasts.Step(o)
		sd := math.Sqrt(variance)
		sum = math.Max(0, sum-clipped(e/sd)-set.Reference)
		grown := tables.Absent()
		if told == atEach || i == len(steps)-1 {
			grown = wear.LogR()
		}
		c.add(log.Casts[t.Casts[i].Cast], e/sd, sd, sum, grown, lim.interval)
	}
	if wears(t) {
		c.WearLimit = lim.wear
		c.Onset, c.FromFirst = wear.Onset()
	}
	lim.rejects[m].follow(&c, log.Casts[mold.First:mold.Last])
	return c
}

// observations are a mold's casts as the charts take them, what the slip does
// taken off.
func observations(t wall.Track, shifts *slipShifts, m int) []runlength.Observation {
	out := make([]runlength.Observation, len(t.Casts))
	for i, c := range t.Casts {
		shift, unknown := shifts.of(c.Slip, m)
		out[i] = runlength.Observation{
			Y: c.Y - shift*math.Sqrt(c.Variance), Z: c.Z, Var: c.Variance * (1 + unknown), Trust: c.Trust,
			At: float64(c.Age), Slope: math.Min(0, c.Wear),
		}
	}
	return out
}

// wears reports whether molds of its kind wear at all.
func wears(t wall.Track) bool {
	return slices.ContainsFunc(t.Casts, func(c wall.TrackCast) bool { return c.Wear < 0 })
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
	return [][]float64{{g[0][0], 0}, {0, sd * sd}}
}

// doubted is a spread with the doubt about form and kind added. The forecasts of
// a mold's walls hold that doubt. The evidence of wear leaves it out: a mold that
// goes its kind's way and then departs from it is found sooner by a chart which
// trusts that way, and the limit, which is set on molds drawn with the doubt,
// pays for it (measured: fixtures/trials/MEASURED.md).
func doubted(g, doubt [][]float64) [][]float64 {
	if len(doubt) != len(g) {
		return g
	}
	out := make([][]float64, len(g))
	for i := range g {
		out[i] = slices.Clone(g[i])
		for k := range out[i] {
			out[i][k] += doubt[i][k]
		}
	}
	return out
}

// thin, fast and rejecting tell which chart is above its limit after the last cast.
func (c Chart) thin() bool { return above(c.Sum, c.Limit) }

func (c Chart) fast() bool { return tables.Has(c.WearLimit) && above(c.Wear, c.WearLimit) }

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
