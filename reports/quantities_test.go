package reports_test

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// size is what one of a unit is in SI. The US units by NIST SP 811, appendix B.8.
func size(unit string) (si float64, dimension string) {
	const inch, pound, quart = 25.4, 0.45359237, 0.946352946
	switch unit {
	case "mm":
		return 1, "length"
	case "in":
		return inch, "length"
	case "kg":
		return 1, "mass"
	case "lb":
		return pound, "mass"
	case "oz":
		return pound / 16, "mass"
	case "L":
		return 1, "volume"
	case "qt":
		return quart, "volume"
	case "gal":
		return 4 * quart, "volume"
	case "kg/L":
		return 1, "density"
	case "lb/qt":
		return pound / quart, "density"
	case "mm²/min":
		return 1, "rate"
	case "in²/h":
		return inch * inch / 60, "rate"
	}
	return 1, ""
}

// paired are units of one dimension: what goes with a kilogram goes with a pound.
func paired(a, b quantity) bool {
	return a.unit == "kg" && b.unit == "lb" && a.text == b.text
}

const unitNames = `kg/L|lb/qt|mm²/min|in²/h|mm|in|kg|lb|oz|L|qt|gal|°C|°F`

var (
	oneNumber = regexp.MustCompile(`\d+ \d+/\d+|\d+/\d+|[−-]?\d+(?:\.\d+)?`)
	unitAfter = regexp.MustCompile(`^\s?(` + unitNames + `)(?:[^A-Za-z²/]|$)`)
	rangeMark = regexp.MustCompile(`^( to |–| and | or )$`)
	inHeader  = regexp.MustCompile(`(?:\(|, )(` + unitNames + `)(?: = L)?\)?$`)
)

// quantity is a number as written: its value, half of the step that it is written
// in, and its unit, "" for none.
type quantity struct {
	value, half float64
	unit, text  string
}

// quantities are those of a text; otherwise is the unit of numbers that name none.
func quantities(text, otherwise string) []quantity {
	var out []quantity
	at := oneNumber.FindAllStringIndex(text, -1)
	for i, a := range at {
		q := written(text[a[0]:a[1]])
		q.unit = otherwise
		if m := unitAfter.FindStringSubmatch(text[a[1]:]); m != nil {
			q.unit = m[1]
		} else if i+1 < len(at) && rangeMark.MatchString(text[a[1]:at[i+1][0]]) {
			if m := unitAfter.FindStringSubmatch(text[at[i+1][1]:]); m != nil {
				q.unit = m[1]
			}
		}
		out = append(out, q)
	}
	return out
}

func written(text string) quantity {
	q := quantity{text: text}
	if whole, part, ok := strings.Cut(text, "/"); ok {
		first, top, mixed := strings.Cut(whole, " ")
		if !mixed {
			first, top = "0", whole
		}
		a, _ := strconv.ParseFloat(first, 64)
		b, _ := strconv.ParseFloat(top, 64)
		c, _ := strconv.ParseFloat(part, 64)
		return quantity{value: a + b/c, half: 1.0 / 16, text: text}
	}
	q.value, _ = strconv.ParseFloat(strings.Replace(text, "−", "-", 1), 64)
	_, decimals, _ := strings.Cut(text, ".")
	q.half = 0.5 * math.Pow(10, -float64(len(decimals)))
	if digits := strings.TrimRight(text, "0"); decimals == "" && len(text) > 2 { // a forecast in two digits
		q.half *= math.Pow(10, float64(min(len(text)-len(digits), len(text)-2)))
	}
	return q
}

func kgOf(unit string) float64 {
	si, _ := size(unit)
	return si
}

// sameText requires that both texts have the same numbers, those with a unit converted.
func sameText(t *testing.T, where, metric, us, metricUnit, usUnit string) {
	t.Helper()
	if metric == us {
		return
	}
	a, b := quantities(metric, metricUnit), quantities(us, usUnit)
	perMass := strings.Contains(metric, "kilogram") && strings.Contains(us, "pound")
	require.Len(t, b, len(a), "%s: %q and %q", where, metric, us)
	for i := range a {
		if a[i].text == b[i].text && a[i].unit == b[i].unit || perMass && paired(a[i], b[i]) {
			continue
		}
		if a[i].unit == "°C" {
			require.InDelta(t, a[i].value*1.8+32, b[i].value, b[i].half+1.8*a[i].half, "%s: %q and %q", where, metric, us)
			continue
		}
		sizeA, dimA := size(a[i].unit)
		sizeB, dimB := size(b[i].unit)
		if perMass && a[i].unit == "L" {
			sizeB /= kgOf("lb")
		}
		require.Equal(t, dimA, dimB, "%s: %q and %q", where, metric, us)
		require.NotEmpty(t, dimA, "%s: a number without a unit has changed: %q and %q", where, metric, us)
		require.InDelta(t, a[i].value*sizeA, b[i].value*sizeB, a[i].half*sizeA+b[i].half*sizeB+1e-9, "%s: %q and %q", where, metric, us)
	}
}
