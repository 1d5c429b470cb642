package format

import (
	"fmt"
	"math"
)

// InchesDown writes a length in mm in whole inches and a fraction with the
// denominator given (16 or 8, as on a ruler), shortened: "1 5/16 in". It rounds
// down, so that a depth set by it is never deeper than the length. A length
// below the first mark is "0 in"; one that is absent, negative or infinite, the dash.
func InchesDown(mm float64, denominator int) string { return inches(mm, denominator, wholeDown) }

func inches(mm float64, denominator int, round func(float64) float64) string {
	if !(mm >= 0) || math.IsInf(mm, 0) || denominator < 1 {
		return Dash
	}
	marks := int64(round(mm / mmPerInch * float64(denominator)))
	whole, part, of := marks/int64(denominator), marks%int64(denominator), int64(denominator)
	for part > 0 && part%2 == 0 && of%2 == 0 {
		part, of = part/2, of/2
	}
	switch {
	case part == 0:
		return fmt.Sprintf("%d in", whole)
	case whole == 0:
		return fmt.Sprintf("%d/%d in", part, of)
	}
	return fmt.Sprintf("%d %d/%d in", whole, part, of)
}
