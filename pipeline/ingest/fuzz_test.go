package ingest

import (
	"context"
	"math"
	"testing"
	"unicode/utf8"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// Whatever stands in a cell, a quantity is a finite number or an error.
func FuzzQuantity(f *testing.F) {
	for _, s := range []string{"5.2", "1 1/4 in", `3/16"`, "2 lb 6 oz", "0:22", "1.5 h", "5,2", "1,234.5", "68 °F", "45 %", "½", "-", "1e308", "9999:59"} {
		f.Add(s, uint8(2), uint8(0))
	}
	f.Fuzz(func(t *testing.T, s string, d, m uint8) {
		dim := quantity.Length + quantity.Dimension(d)%(quantity.PerDay-quantity.Length+1)
		def := quantity.Unit{Dim: dim, Scale: 1, Name: "x"}
		q, err := quantity.Parse(s, def, quantity.Mark(m%4), dim, quantity.Volume)
		if err == nil && (math.IsNaN(q.Base) || math.IsInf(q.Base, 0)) {
			t.Errorf("%q gives %v", s, q.Base)
		}
		if err == nil && s == "" {
			t.Error("an empty cell is no quantity")
		}
		quantity.Identifier(s)
		quantity.Tidy(s)
	})
}

// Whatever stands in a cell, a date is a day that exists or an error, and the
// order of day and month changes only dates that are ambiguous without it.
func FuzzDay(f *testing.F) {
	for _, s := range []string{"2025-03-14", "14/3/2025", "3/4/25", "14 Mar 2025", "45730.5", "20250314", "2025-03-14T09:30:00Z", "14.3.2025, 14:30", "sat 1 march 2025"} {
		f.Add(s, true)
	}
	f.Fuzz(func(t *testing.T, s string, date1904 bool) {
		plain, err := quantity.ParseDay(s, quantity.Calendar{Date1904: date1904})
		if err == nil {
			if y := plain.Date.Time().Year(); y < 1 || y > 10004 {
				t.Errorf("%q gives the year %d", s, y)
			}
			if m := plain.Minutes; tables.Has(m) && !(m >= 0 && m <= 1440) {
				t.Errorf("%q gives %v minutes", s, m)
			}
		}
		for _, order := range []quantity.DayOrder{quantity.DayFirst, quantity.MonthFirst} {
			ordered, orderedErr := quantity.ParseDay(s, quantity.Calendar{Date1904: date1904, Order: order})
			if (err == nil) != (orderedErr == nil) && err != quantity.ErrAmbiguous {
				t.Errorf("%q: %v without and %v with an order", s, err, orderedErr)
			}
			if err == nil && ordered.Date != plain.Date {
				t.Errorf("%q: %v without and %v with an order", s, plain.Date, ordered.Date)
			}
		}
	})
}

// Whatever a header says, it is one declared column, or none.
func FuzzHeader(f *testing.F) {
	for _, s := range []string{"Dwell (min)", "dwell_min", "Dwell time [hh:mm]", "wall mm", "Water, lb", "Leftover (dry plaster, kg)", "wall_3_mm", "Cast #", "((((", "Wall (", "gap N"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		h := newHeading(s)
		for _, v := range vocabularies() {
			m, _, ok := v.match(h)
			if !ok {
				continue
			}
			c := v.table.Columns[m.column]
			if c.Kind == "" || m.pick < 0 || m.unit.Given() && quantity.DimensionOf(c) == quantity.NoDimension {
				t.Errorf("%q is %s.%s in %q", s, v.table.Name, c.Name, m.unit.Name)
			}
		}
	})
}

// Whatever a text file holds, the account closes, every row set aside has a
// problem, and every value kept is plausible.
func FuzzCSV(f *testing.F) {
	for _, s := range []string{
		plainLog, "date;mold;dwell;wall\n1.3.2025;A;20,5;5,2\n", "date,mold,dwell,wall\n2025-03-01,A,\"20,5\n", "sep=;\na;b\n", "\ufeffpour,date,plaster,water\n1,2025-03-01,2 lb,1 qt\n",
		"mold,form\nA,cup\na,cup\npour,height,gap_1\n1,2 in,3\n", "\xff\xfed\x00", "date\tmold\tdwell\twall_1\twall_2\n3/4/25\tA\t0:22\t3/16\"\t?\n",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		ctx := context.Background()
		b, err := grid.ReadCSV(ctx, "a.csv", data, columnsKnown)
		if err != nil {
			t.Fatal(err)
		}
		if b.Unreadable != "" {
			return
		}
		r := &reader{shelves: newShelves(), byHash: map[string]string{}, today: tables.NoDate}
		r.problems.files = []File{{Name: "a.csv"}}
		if err := r.book(ctx, 0, b); err != nil {
			t.Fatal(err)
		}
		r.crosscheck()
		for _, a := range r.sheets {
			if err := a.fill(&r.problems.files[0].Sheets[a.sheet]); err != nil {
				t.Fatal(err)
			}
		}
		checkProblems(t, r.problems.sorted(), Reading{Files: r.problems.files})
		for _, c := range r.shelves.casts.rows {
			if c.Mold == "" || !c.Date.Valid() || tables.Has(c.DwellMin) && !(c.DwellMin >= 1 && c.DwellMin <= 720) {
				t.Errorf("kept %+v", c)
			}
		}
	})
}

func checkProblems(t *testing.T, problems []tables.Problem, reading Reading) {
	aside := map[string]bool{}
	for _, p := range problems {
		if p.Severity == tables.SetAside {
			aside[p.Cell] = true
		}
		if p.Code == "" || p.Message == "" || p.Mend == "" || p.File == "" || !utf8.ValidString(p.Message+p.Value) {
			t.Errorf("a problem lacks something: %+v", p)
		}
	}
	if _, _, n, _ := reading.Rows(); n > 0 && len(aside) == 0 {
		t.Errorf("%d rows set aside without a word", n)
	}
}
