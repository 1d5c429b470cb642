package quantity

import (
	"math"
	"testing"
	"unicode/utf8"

	"moldwright/pipeline/tables"
)

// Whatever stands in a cell, a quantity is a finite number or an error.
func FuzzQuantity(f *testing.F) {
	for _, s := range []string{
		"5.2", "1 1/4 in", `3/16"`, "2 lb 6 oz", "0:22", "1.5 h", "5,2", "1,234.5", "68 °F", "45 %", "½", "-", "1e308", "9999:59",
		"~6", "6±0.2", "5–6 mm", ">6", "5.2 thin at foot", "22 (rushed)", "(6)", "6*", "6?", "1'200", "1 200", "５．２", "'5.2", "5.2, 5.4, 5.1 mm", "22' 30\"", "1e308-1.5e308",
	} {
		f.Add(s, uint8(2), uint8(0))
	}
	f.Fuzz(func(t *testing.T, s string, d, m uint8) {
		dim := Length + Dimension(d)%(PerDay-Length+1)
		def := Unit{Dim: dim, Scale: 1, Name: "x"}
		q, err := Parse(s, def, Mark(m%4), dim, Volume)
		if err == nil && (math.IsNaN(q.Base) || math.IsInf(q.Base, 0)) {
			t.Errorf("%q gives %v", s, q.Base)
		}
		if err == nil && s == "" {
			t.Error("an empty cell is no quantity")
		}
		if utf8.ValidString(s) && !utf8.ValidString(q.Note) {
			t.Errorf("%q gives the note %q", s, q.Note)
		}
		for _, part := range Several(s, dim) {
			if part == "" || part == s {
				t.Errorf("%q is parted into %q", s, part)
			}
		}
		Identifier(s)
		Tidy(s)
	})
}

// Whatever stands in a cell, a date is a day that exists or an error, and the
// order of day and month changes only dates that are ambiguous without it.
func FuzzDay(f *testing.F) {
	for _, s := range []string{
		"2025-03-14", "14/3/2025", "3/4/25", "14 Mar 2025", "45730.5", "20250314", "2025-03-14T09:30:00Z", "14.3.2025, 14:30", "sat 1 march 2025",
		"14. März 2025", "1er août 2025", "14 de marzo de 2025", "2025-W11-5", "14 Mar", "14/3", "14", "14.3.2025 14h30", "14 Mar 2025 2 pm", "2020-W53-7",
	} {
		f.Add(s, true, uint16(0), uint8(0))
		f.Add(s, false, uint16(2025), uint8(3))
	}
	f.Fuzz(func(t *testing.T, s string, date1904 bool, year uint16, month uint8) {
		cal := Calendar{Date1904: date1904, Year: int(year % 10_000), Month: int(month % 13)}
		plain, err := ParseDay(s, cal)
		if err == nil {
			if y := plain.Date.Time().Year(); y < 1 || y > 10004 {
				t.Errorf("%q gives the year %d", s, y)
			}
			if m := plain.Minutes; tables.Has(m) && !(m >= 0 && m <= 1440) {
				t.Errorf("%q gives %v minutes", s, m)
			}
		}
		for _, order := range []DayOrder{DayFirst, MonthFirst} {
			cal.Order = order
			ordered, orderedErr := ParseDay(s, cal)
			if (err == nil) != (orderedErr == nil) && err != ErrAmbiguous {
				t.Errorf("%q: %v without and %v with an order", s, err, orderedErr)
			}
			if err == nil && ordered.Date != plain.Date {
				t.Errorf("%q: %v without and %v with an order", s, plain.Date, ordered.Date)
			}
		}
	})
}
