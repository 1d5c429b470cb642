package ingest

import (
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

// use is a cell that holds a name, or all of a table that hold the same.
type use struct {
	name   *string
	at     tables.Origin
	column string
	lists  bool // the cell's table is the one that lists the domain
	rows   int  // that hold the name; name, at and column are of the first
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
			s.casts.names(s.casts.at.mold, "mold"),
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
			s.casts.names(s.casts.at.slip, "slip"),
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
		for i := range s.all {
			if n := name(&s.all[i]); *n != "" && !yield(use{n, originOf(&s.all[i]), column, lists, 1}) {
				return
			}
		}
	}
}
