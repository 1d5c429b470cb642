package ingest

import (
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode"

	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// heading is a header cell taken apart.
type heading struct {
	words []string // outside of brackets, folded
	parts []string // what stands in brackets or after the last comma, as written
	comma bool     // the last part stood after a comma, so that it may be words after all

	readings []reading // ways to understand the words
	joined   *heading  // the same with the part after the comma among the words
}

// match is a declared column that a header stands for, and what else it says.
type match struct {
	column int // index in the table's columns
	unit   quantity.Unit
	pick   int               // number of the reading for wall_1 … wall_n, 0 for none
	mean   bool              // a mean of readings, used only where they are not there
	basis  string            // what was weighed or measured, "" where the header does not say
	order  quantity.DayOrder // order of day and month
	exact  bool              // the column's own name
}

// vocabulary is how the columns of one table are called.
type vocabulary struct {
	table     tables.Table
	names     map[string][]named
	spellings []spelt // of all names, for headers with a slip
}

// named is a column that bears a name.
type named struct {
	column int
	exact  bool
	unit   string // unit that the name implies
	bare   bool   // the name needs a unit beside it
}

var vocabularies = sync.OnceValue(func() []vocabulary {
	var all []vocabulary
	for _, t := range tables.Inputs() {
		all = append(all, newVocabulary(t))
	}
	return all
})

func newVocabulary(t tables.Table) vocabulary {
	v := vocabulary{table: t, names: map[string][]named{}}
	add := func(column int, name string, exact bool, unit string, bare bool) {
		key := strings.Join(fold(name), " ")
		for _, n := range v.names[key] {
			if n.column == column {
				return
			}
		}
		v.names[key] = append(v.names[key], named{column, exact, unit, bare})
	}
	for i, c := range t.Columns {
		if c.Kind != "" {
			add(i, c.Name, true, "", false)
		}
	}
	for i, c := range t.Columns {
		for name := range strings.SplitSeq(synonyms[t.Name+"."+c.Name], "|") {
			if name != "" {
				add(i, name, false, headerUnits[t.Name+"."+c.Name+"|"+name], onlyWithUnit[t.Name+"."+c.Name+"|"+name])
			}
		}
	}
	v.spellings = v.allSpellings()
	return v
}

// fold takes a header into words: lower case, without punctuation, digits and
// letters apart, dwellMin as dwell min.
func fold(s string) []string {
	var b strings.Builder
	var last rune
	for _, r := range s {
		switch {
		case r == '%':
			b.WriteString(" percent ")
		case r == '#':
			b.WriteString(" no ")
		case r == '³':
			b.WriteString(" 3")
		case unicode.IsLetter(r):
			if unicode.IsDigit(last) || unicode.IsLower(last) && unicode.IsUpper(r) {
				b.WriteByte(' ')
			}
			b.WriteRune(unicode.ToLower(r))
		case unicode.IsDigit(r):
			if unicode.IsLetter(last) {
				b.WriteByte(' ')
			}
			b.WriteRune(r)
		case r == '\'' || r == '’':
		default:
			b.WriteByte(' ')
		}
		last = r
	}
	words := strings.Fields(b.String())
	for i, w := range words {
		words[i] = commonSpelling(w)
	}
	return slices.DeleteFunc(words, func(w string) bool { return w == "the" || w == "of" })
}

func commonSpelling(w string) string {
	w = strings.ReplaceAll(w, "mould", "mold")
	switch w {
	case "molds":
		return "mold"
	case "demolding":
		return "demold"
	}
	return w
}

// takeApart splits a header into its words and the parts in brackets.
func takeApart(s string) heading {
	var h heading
	var outside, inside strings.Builder
	depth := 0
	for _, r := range s {
		switch {
		case strings.ContainsRune("([{", r):
			depth++
		case strings.ContainsRune(")]}", r) && depth > 0:
			if depth--; depth == 0 {
				outside.WriteByte(' ')
				h.parts = append(h.parts, strings.FieldsFunc(inside.String(), func(r rune) bool { return r == ',' || r == ';' })...)
				inside.Reset()
			}
		case depth > 0:
			inside.WriteRune(r)
		default:
			outside.WriteRune(r)
		}
	}
	if depth > 0 {
		outside.WriteString(" " + inside.String())
	}
	words := outside.String()
	if i := strings.LastIndexByte(words, ','); i > 0 && quantity.Clean(words[i+1:]) != "" {
		h.parts = append(h.parts, words[i+1:])
		words, h.comma = words[:i], true
	}
	h.words = fold(words)
	return h
}

// isHeading reports whether a cell could be a header.
func isHeading(s string) bool {
	return len(s) <= 120 && strings.ContainsFunc(s, func(r rune) bool { return unicode.IsLetter(r) || r == '#' })
}

// heading is a header cell taken apart, each text once: every table is asked about it.
func (f *finder) heading(s string) heading {
	h, known := f.headings[s]
	if !known {
		if h = newHeading(s); f.headings == nil || len(f.headings) > 50_000 {
			f.headings = map[string]heading{}
		}
		f.headings[s] = h
	}
	return h
}

// newHeading takes a header cell apart and lists the ways to understand it. A
// cell without a letter is no header, nor is one that is very long.
func newHeading(s string) heading {
	if !isHeading(s) {
		return heading{}
	}
	h := takeApart(s)
	h.readings = readings(h.words)
	if h.comma {
		last := len(h.parts) - 1
		words := append(slices.Clone(h.words), fold(h.parts[last])...)
		h.joined = &heading{words: words, parts: h.parts[:last], readings: readings(words)}
	}
	return h
}

// match finds the column that a header stands for. Where a column has the
// name but the unit in the header cannot measure it, misfit names that unit.
func (v vocabulary) match(h heading) (m match, misfit string, ok bool) {
	if m, misfit, ok = v.matchHeading(h); ok || h.joined == nil {
		return m, misfit, ok
	}
	if m, _, ok := v.matchHeading(*h.joined); ok {
		return m, "", true
	}
	return match{}, misfit, false
}

func (v vocabulary) matchHeading(h heading) (m match, misfit string, ok bool) {
	for _, r := range h.readings {
		for _, n := range v.names[strings.Join(r.words, " ")] {
			m, bad, ok := v.fits(n, r, h)
			if ok {
				return m, "", true
			}
			if misfit == "" {
				misfit = bad
			}
		}
	}
	return match{}, misfit, false
}

// fits checks that everything a header says goes with the column.
func (v vocabulary) fits(n named, r reading, h heading) (m match, misfit string, ok bool) {
	c := v.table.Columns[n.column]
	dim := quantity.DimensionOf(c)
	m = match{column: n.column, exact: n.exact && len(r.taken) == 0, mean: r.mean}
	if (r.pick > 0 || r.mean) && c.Kind != tables.KindLengths || r.id && c.Kind != tables.KindID {
		return match{}, "", false
	}
	m.pick = r.pick
	if !m.setBasis(v.table, c, r.basis) {
		return match{}, "", false
	}
	if n.unit != "" {
		m.unit, _ = quantity.LookUnit(n.unit, dim)
	}
	words := slices.Clone(h.parts)
	if r.unit != "" {
		words = append(words, r.unit)
	}
	for i, w := range words {
		u, found := quantity.LookUnit(w, dim)
		if fluid, wet := quantity.Fluids[c.Name]; !found && wet && dim == quantity.Mass {
			if u, found = quantity.LookUnit(w, quantity.Volume); found {
				u.Scale *= fluid
				u.Dim = quantity.Mass
			}
		}
		if found && !m.unit.Given() {
			m.unit = u
			continue
		}
		if foreign, some := quantity.LookAnyUnit(w); some && dim != quantity.NoDimension && dim != quantity.PureNumber {
			return match{}, foreign.Name, false
		}
		if i >= len(h.parts) {
			return match{}, "", false // the last word is no unit of this column
		}
		if !m.takePart(v.table, c, w) && h.comma && i == len(h.parts)-1 {
			return match{}, "", false // not understood: perhaps it belongs to the name
		}
	}
	return m, "", m.unit.Given() || !n.bare
}

// takePart understands what stands in brackets and is no unit: the basis, the
// order of dates, the number of a reading. Anything else is a comment.
func (m *match) takePart(t tables.Table, c tables.Column, w string) bool {
	if c.Kind == tables.KindDate {
		m.order = quantity.OrderInHeader(quantity.Clean(w))
		return m.order != quantity.OrderUnknown
	}
	if n, err := strconv.Atoi(quantity.Clean(w)); err == nil && n > 0 && c.Kind == tables.KindLengths && m.pick == 0 {
		m.pick = n
		return true
	}
	words := fold(w)
	basis, left := takeBasis(words)
	return basis != "" && len(left) == 0 && m.setBasis(t, c, basis)
}

// setBasis notes what was weighed or measured; false where the column has no
// such choice.
func (m *match) setBasis(t tables.Table, c tables.Column, basis string) bool {
	if basis == "" {
		return true
	}
	if _, has := t.Column(c.Name + "_basis"); !has {
		return false
	}
	switch {
	case c.Kind == tables.KindLengths && slices.Contains([]string{tables.WallWet, tables.WallDry, tables.WallFired}, basis):
		m.basis = basis
	case c.Kind == tables.KindMass && basis == tables.WallDry:
		m.basis = tables.AsDry
	case c.Kind == tables.KindMass && basis == tables.WallWet:
		m.basis = tables.AsWeighed
	default:
		return false
	}
	return true
}
