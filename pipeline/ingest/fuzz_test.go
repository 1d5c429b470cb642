package ingest

import (
	"context"
	"testing"
	"unicode/utf8"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

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
		"mold,form\nA,cup\na,cup\npour,height,gap_1\n1,2 in,3\n", "\xff\xfed\x00", "Mold,Cast 1,,Cast 2,\n,Date,Dwell,Wall,Date,Dwell,Wall\nA,2025-03-01,20,5,2025-03-02,21,5\n", "Mold: A\n\nDate,2025-03-01,2025-03-02,Mean\nDwell,20,21,20.5\nWall,5,5.1,\n",
		"March 2025\nDay,Dwell,M1,M2,M3\n1,20,5,5,5\n\",22,5,,4\nMean,21,5,5,5\n", "date,mold,dwell,wall,,mold,form\n2025-03-01,A,20,5,,A,cup\n,,,,,date,mold\n", "date\tmold\tdwell\twall_1\twall_2\n3/4/25\tA\t0:22\t3/16\"\t?\n",
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
		for _, c := range r.shelves.casts.frame().Rows() {
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
