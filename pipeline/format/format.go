// Package format writes numbers for people: rounded to what is known, with
// units, and a dash where a number is absent. Every report uses it, so that one
// figure reads the same wherever it stands. Quantities and days are written by
// Units and Days, in the system and form that a reader asked for.
package format

import (
	"math"
	"strconv"
	"strings"
)

// Dash stands for an absent number.
const Dash = "–"

// Fixed writes x with so many decimals, or the dash.
func Fixed(x float64, decimals int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return Dash
	}
	s := strconv.FormatFloat(x, 'f', decimals, 64)
	digits, negative := strings.CutPrefix(s, "-")
	if !negative || strings.Trim(digits, "0.") == "" {
		return digits // no minus zero
	}
	return "−" + digits
}

// Dwell writes a dwell to the minute, below 10 min to half of one.
func Dwell(min float64) string {
	if math.Abs(min) < 10 {
		return unit(Fixed(math.Round(min*2)/2, 1), "min")
	}
	return unit(Fixed(min, 0), "min")
}

// Casts writes a number of casts, whole.
func Casts(n float64) string {
	if s := Fixed(n, 0); s != "1" {
		return unit(s, "casts")
	}
	return "1 cast"
}

// Money writes an amount to the cent, from 100 on whole. The currency is the price list's own.
func Money(x float64) string {
	if math.Abs(x) >= 100 {
		return Fixed(x, 0)
	}
	return Fixed(x, 2)
}

// Percent writes a part of one in whole percent; a chance that is not sure never reads as 0 or 100.
func Percent(p float64) string {
	switch {
	case math.IsNaN(p) || math.IsInf(p, 0):
		return Dash
	case p > 0 && p < 0.005:
		return "<1 %"
	case p < 1 && p > 0.995:
		return ">99 %"
	}
	return Fixed(100*p, 0) + " %"
}

// Wear writes a fraction lost per cast in percent with one decimal, or two below 1 %.
func Wear(w float64) string {
	if math.Abs(w) < 0.01 {
		return unit(Fixed(100*w, 2), "%")
	}
	return unit(Fixed(100*w, 1), "%")
}

// Interval joins two written numbers that carry the same unit: "4.1 to 5.3 mm".
func Interval(low, high string) string {
	if low == Dash || high == Dash {
		return Dash
	}
	lowNumber, lowUnit, ok := strings.Cut(low, " ")
	_, highUnit, _ := strings.Cut(high, " ")
	if ok && lowUnit == highUnit {
		low = lowNumber
	}
	return low + " to " + high
}

// Significant writes x with so many significant digits and no exponent.
func Significant(x float64, digits int) string {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return Fixed(x, 0)
	}
	magnitude := int(math.Floor(math.Log10(math.Abs(x))))
	return Fixed(x, max(0, digits-1-magnitude))
}

func unit(number, unit string) string {
	if number == Dash {
		return Dash
	}
	return number + " " + unit
}
