package format

import "strconv"

// Likely says a chance in words, "" where there is none:
//
//	at least 0.9   very likely
//	0.75 to 0.9    likely
//	0.5 to 0.75    rather likely
//	0.25 to 0.5    rather unlikely
//	0.1 to 0.25    unlikely
//	below 0.1      very unlikely
//
// Our own words; the number stands beside them wherever they are used.
func Likely(p float64) string {
	switch {
	case !(p >= 0 && p <= 1):
		return ""
	case p >= 0.9:
		return "very likely"
	case p >= 0.75:
		return "likely"
	case p >= 0.5:
		return "rather likely"
	case p >= 0.25:
		return "rather unlikely"
	case p >= 0.1:
		return "unlikely"
	}
	return "very unlikely"
}

// Chance writes a simulated chance in whole percent. One that came true in
// every draw, or in none, is not sure for that: it reads as >99 % or <1 %.
func Chance(p float64) string {
	switch p {
	case 0:
		return "<1 %"
	case 1:
		return ">99 %"
	}
	return Percent(p)
}

// Pieces writes "1 piece", "40 pieces".
func Pieces(n int) string { return counted(n, "piece", "pieces") }

// Molds writes "1 mold", "3 molds".
func Molds(n int) string { return counted(n, "mold", "molds") }

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}
