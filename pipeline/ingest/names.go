package ingest

import (
	"fmt"
	"iter"
	"strings"

	"moldwright/pipeline/tables"
)

// domain is a kind of thing that has a name by which sheets refer to it.
type domain string

const (
	ofMolds   domain = "mold"
	ofForms   domain = "form"
	ofPours   domain = "pour"
	ofSlips   domain = "slip"
	ofMakers  domain = "maker"
	ofClasses domain = "class"
)

// use is one cell that holds a name.
type use struct {
	name   *string
	at     tables.Origin
	column string
	lists  bool // the cell's table is the one that lists the domain
}

// nameKey makes names comparable: case and surrounding space don't count.
func nameKey(s string) string { return strings.ToLower(strings.TrimSpace(s)) }

// uses walks over all names of a domain that are there, those in the table
// that lists them first, each table in the order of reading.
func (r *reader) uses(d domain) iter.Seq[use] {
	s := r.shelves
	lists := map[domain][]iter.Seq[use]{
		ofMolds: {
			namesIn(s.molds, "mold", true, func(m *tables.Mold) *string { return &m.Mold }),
			namesIn(s.pours, "mold", false, func(p *tables.Pour) *string { return &p.Mold }),
			namesIn(s.casts, "mold", false, func(c *tables.Cast) *string { return &c.Mold }),
		},
		ofForms: {
			namesIn(s.forms, "form", true, func(f *tables.Form) *string { return &f.Form }),
			namesIn(s.molds, "form", false, func(m *tables.Mold) *string { return &m.Form }),
			namesIn(s.orders, "form", false, func(o *tables.Order) *string { return &o.Form }),
		},
		ofPours: {
			namesIn(s.pours, "pour", true, func(p *tables.Pour) *string { return &p.Pour }),
			namesIn(s.molds, "pour", false, func(m *tables.Mold) *string { return &m.Pour }),
			namesIn(s.gaps, "pour", false, func(g *tables.Gap) *string { return &g.Pour }),
		},
		ofSlips: {
			namesIn(s.slips, "slip", true, func(x *tables.Slip) *string { return &x.Slip }),
			namesIn(s.casts, "slip", false, func(c *tables.Cast) *string { return &c.Slip }),
		},
		ofMakers:  {namesIn(s.pours, "maker", false, func(p *tables.Pour) *string { return &p.Maker })},
		ofClasses: {namesIn(s.pours, "class", false, func(p *tables.Pour) *string { return &p.Class })},
	}
	return func(yield func(use) bool) {
		for _, list := range lists[d] {
			for u := range list {
				if !yield(u) {
					return
				}
			}
		}
	}
}

func namesIn[R tables.Row](s *shelf[R], column string, lists bool, name func(*R) *string) iter.Seq[use] {
	return func(yield func(use) bool) {
		for i := range s.rows {
			if n := name(&s.rows[i]); *n != "" && !yield(use{n, originOf(&s.rows[i]), column, lists}) {
				return
			}
		}
	}
}

// joinSpellings writes names that differ only by case or surrounding space
// alike. The first spelling wins, and each other one is noted once.
func (r *reader) joinSpellings() {
	for _, d := range []domain{ofMolds, ofForms, ofPours, ofSlips, ofMakers, ofClasses} {
		first := map[string]string{}
		wants := map[string]string{} // of spellings met before: logs repeat themselves
		told := map[string]int{}     // other spelling to index in notes
		var others []use
		var spellings []string
		var times []int
		for u := range r.uses(d) {
			want, seen := wants[*u.name]
			if !seen {
				key := nameKey(*u.name)
				if want, seen = first[key]; !seen {
					want, first[key] = *u.name, *u.name
				}
				wants[*u.name] = want
			}
			if *u.name == want {
				continue
			}
			if k, noted := told[*u.name]; noted {
				times[k]++
			} else {
				told[*u.name] = len(others)
				others, spellings, times = append(others, u), append(spellings, *u.name), append(times, 1)
			}
			*u.name = want
		}
		for k, u := range others {
			want := first[nameKey(spellings[k])]
			r.note(u.at, u.column, tables.Problem{
				Code: CodeSpellingJoined, Severity: tables.Notice, Value: spellings[k],
				Message: fmt.Sprintf("the %s “%s” (%s) was taken to be “%s”", d, shown(spellings[k]), rowsOf(times[k]), shown(want)),
				Mend:    "nothing to do if that is right; otherwise give different names",
			})
		}
	}
}
