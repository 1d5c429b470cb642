package format

import (
	"strings"

	"moldwright/pipeline/tables"
)

// Assumed writes a figure that a plan rests on, in one line without a stop:
// "Casts of one mold in a day, bowl: 3 casts [the form]". A number without a unit
// is a part of one.
func Assumed(a tables.PlanAssumed) string {
	text := a.What
	if a.Of != "" {
		text += ", " + a.Of
	}
	figure := a.Words
	switch {
	case figure != "":
	case a.Unit == "" && a.Value >= 0 && a.Value <= 1:
		figure = Percent(a.Value)
	default:
		unit := a.Unit
		if a.Value == 1 {
			unit = strings.TrimSuffix(unit, "s")
		}
		figure = strings.TrimSpace(trimmed(Significant(a.Value, 3)) + " " + unit)
	}
	if a.Basis != "" {
		figure += " [" + a.Basis + "]"
	}
	return strings.ToUpper(text[:min(1, len(text))]) + text[min(1, len(text)):] + ": " + figure
}

// trimmed leaves out closing zeros behind a point.
func trimmed(s string) string {
	if !strings.Contains(s, ".") {
		return s
	}
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}
