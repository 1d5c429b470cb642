package charts

import (
	"math"
	"strings"
)

// A log may hold a million casts of thousands of molds. A chart of them all would be
// a blot that no browser opens: charts draw a bounded part, chosen by a rule that
// gives the same part each time, and say how much of the whole it is.
const (
	mostCasts     = 3000 // ordinary casts drawn in a chart of all casts
	mostOdd       = 400  // far-off casts drawn beside them, the least trusted first
	mostDots      = 3600 // casts drawn in all panels of a chart together
	mostForecasts = 1500 // forecasts of a kind drawn in a chart of forecasts
	mostSteps     = 400  // steps of a curve or area
	mostForms     = 12   // panels of forms that a page holds
	mostMolds     = 24   // panels of molds that a page holds
	mostRows      = 34   // rows of intervals that a page holds
	mostFlagged   = 8    // flagged molds that get a chart of their own
)

// picked chooses at most so many of n things in their order: one of each of as many
// equal stretches, at a place within it that walks by the golden section, so that no
// rhythm of the log (one mold in four, one day in seven) is met at each step.
func picked(n, most int) []int {
	out := make([]int, 0, min(n, most))
	for i := range min(n, most) {
		at := float64(i)
		if n > most {
			_, within := math.Modf(at * math.Phi)
			at = math.Floor((at + within) * float64(n) / float64(most))
		}
		out = append(out, min(int(at), n-1))
	}
	return out
}

// thinned leaves out points where there are more than most.
func thinned(xs, ys []float64, most int) (keptX, keptY []float64) {
	n := min(len(xs), len(ys))
	if n <= most {
		return xs[:n], ys[:n]
	}
	at := picked(n, most)
	return taken(xs, at), taken(ys, at)
}

// taken are the values at those places; of a shorter column, those that it has.
func taken(xs []float64, at []int) []float64 {
	out := make([]float64, 0, len(at))
	for _, i := range at {
		if i < len(xs) {
			out = append(out, xs[i])
		}
	}
	return out
}

// partly says on the chart how much of all is drawn, and which; "" where it is all.
func partly(shown, all int, what, which string) string {
	if shown >= all {
		return ""
	}
	out := grouped(itoa(shown)) + " of " + grouped(itoa(all)) + " " + what + " shown"
	if which != "" {
		out += ", " + which
	}
	return out
}

// both joins what a chart shows of two things.
func both(parts ...string) string {
	var kept []string
	for _, p := range parts {
		if p != "" {
			kept = append(kept, p)
		}
	}
	return strings.Join(kept, "; ")
}

const (
	throughLog  = "chosen evenly through the log"
	actionFirst = "those that need action first"
)
