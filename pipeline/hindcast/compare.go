package hindcast

import (
	"cmp"
	"math"
	"slices"

	"moldwright/pipeline/tables"
)

// Comparison of two replays of one log by the pinball loss of their forecasts of
// remaining casts.
type Comparison struct {
	Forecasts int     // of the same mold from the same day, decided in both
	Molds     int     // that these are of
	Gain      float64 // mean loss of the first less that of the second, casts; above 0: the second is better
	StdError  float64 // of Gain; it allows for forecasts of one mold that fare alike; NaN below two molds
}

// Least of what tells one replay from the other.
const (
	leastMolds = 8
	leastTimes = 2.0 // the standard error
)

// Verdict of a comparison.
type Verdict int

// Verdicts.
const (
	EvenByChance Verdict = iota // too few forecasts, or no more than chance between the two
	FirstBetter
	SecondBetter
)

// Verdict says which replay is better, where the difference is beyond chance: two
// standard errors, on eight molds at least.
func (c Comparison) Verdict() Verdict {
	switch {
	case c.Molds < leastMolds || !(math.Abs(c.Gain) > leastTimes*c.StdError):
		return EvenByChance
	case c.Gain > 0:
		return SecondBetter
	}
	return FirstBetter
}

// Compare sets two replays of one log beside each other, for example with straight
// and with wandering paths: the loss of each forecast in one less that in the other,
// and its mean with a standard error by molds (Diebold & Mariano 1995, J. Bus. Econ.
// Stat. 13; with clusters as Liang & Zeger 1986, Biometrika 73; both from memory).
// What came decides a forecast where the mold has ended; and where it has outlived
// the points of both forecasts, since from there on their difference stays.
func Compare(first, second Answer) Comparison {
	type key struct {
		mold   string
		origin tables.Date
	}
	others := map[key]Life{}
	for _, l := range second.Lives {
		others[key{l.Mold, l.Origin}] = l
	}
	type gain struct {
		mold string
		by   float64
	}
	var gains []gain
	for _, a := range first.Lives {
		b, ok := others[key{a.Mold, a.Origin}]
		if !ok || !a.Ended && a.Came < max(a.P90, b.P90) {
			continue
		}
		gains = append(gains, gain{a.Mold, threePoints(a.P10, a.P50, a.P90, a.Came) - threePoints(b.P10, b.P50, b.P90, a.Came)})
	}
	slices.SortStableFunc(gains, func(a, b gain) int { return cmp.Compare(a.mold, b.mold) })
	out := Comparison{Forecasts: len(gains), StdError: math.NaN()}
	n := float64(len(gains))
	for _, g := range gains {
		out.Gain += g.by / n
	}
	var squares, sum float64
	for i, g := range gains {
		sum += g.by - out.Gain
		if i+1 == len(gains) || gains[i+1].mold != g.mold {
			squares += sum * sum
			sum = 0
			out.Molds++
		}
	}
	if m := float64(out.Molds); m > 1 {
		out.StdError = math.Sqrt(squares*m/(m-1)) / n
	}
	return out
}
