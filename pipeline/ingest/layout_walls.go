package ingest

import (
	"fmt"
	"slices"
	"strings"

	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// wallsByNumber finds one column for each cast of a day that holds its wall.
func (l *line) wallsByNumber(v vocabulary, left, right int) []candidate {
	wall := v.columnNamed("wall")
	return l.walls(v, left, right, func(at int) (headed, []given, bool) {
		text := l.texts[at][0]
		n, rest, named := numberIn(text)
		if n == 0 || !named {
			return headed{}, nil, false
		}
		h := headed{text: text, ok: true, match: match{column: wall}}
		if rest != "" {
			m, _, ok := v.match(l.finder.heading(rest))
			if !ok || m.column != wall {
				return headed{}, nil, false
			}
			h.match = m
			h.match.pick = 0
		}
		return h, nil, true
	}, "each row holds the walls of %d casts, one in each column")
}

// wallsByMold finds one column for each mold that holds the wall of its cast:
// headers are molds that are listed, or look like mold numbers all of one kind.
func (l *line) wallsByMold(v vocabulary, left, right int) []candidate {
	mold, wall := v.columnNamed("mold"), v.columnNamed("wall")
	patterns := map[string]bool{}
	return l.walls(v, left, right, func(at int) (headed, []given, bool) {
		name := quantity.Identifier(l.texts[at][0])
		if !l.finder.hints.molds[nameKey(name)] {
			words := fold(name)
			if !looksLikeMold(name) {
				return headed{}, nil, false
			}
			patterns[strings.Join(words[:len(words)-1], " ")] = true
			if len(patterns) > 1 {
				return headed{}, nil, false
			}
		}
		return headed{text: l.texts[at][0], ok: true, match: match{column: wall}}, []given{{mold, name, "its header", true, false}}, true
	}, "each row holds the walls of %d molds, one in each column")
}

// walls makes a candidate of each column that is one, with the columns that are
// known. The table must lack nothing but the wall and what the column gives.
func (l *line) walls(v vocabulary, left, right int, is func(at int) (headed, []given, bool), what string) []candidate {
	known := l.read(v)
	for at := left; at < right; at++ {
		if name := ""; known[at].ok {
			name = v.table.Columns[known[at].match.column].Name
			if name == "wall" && known[at].match.pick == 0 {
				return nil
			}
		}
	}
	heads := slices.Clone(known)
	givens := map[int][]given{}
	var own []int
	unit := l.unitAbove(v)
	for at := left; at < right; at++ {
		if len(l.texts[at]) == 0 || known[at].ok && v.table.Columns[known[at].match.column].Name != "wall" || known[at].out {
			continue
		}
		h, g, ok := is(at)
		if !ok || !l.holdsLengths(v, at) {
			continue
		}
		if !h.match.unit.Given() {
			h.match.unit = unit
		}
		heads[at], givens[at] = h, g
		own = append(own, at)
	}
	if len(own) < 2 || len(own) > mostGroups {
		return nil
	}
	var parts []candidate
	for _, mine := range own {
		c := l.with(v, heads, func(at int) bool { return at >= left && at < right && (at == mine || !slices.Contains(own, at)) }, false)
		for k := range c.columns {
			c.columns[k].shared = !c.columns[k].other && c.columns[k].at != mine
		}
		for _, g := range givens[mine] {
			if slices.ContainsFunc(c.columns, func(col column) bool { return col.used && col.match.column == g.column }) {
				return nil
			}
			c.given = append(slices.DeleteFunc(c.given, func(o given) bool { return o.column == g.column }), g)
			c.missing = slices.DeleteFunc(c.missing, func(name string) bool { return name == v.table.Columns[g.column].Name })
		}
		if len(c.missing) > 0 {
			return nil
		}
		parts = append(parts, c)
	}
	return l.wide(parts, fmt.Sprintf(what, len(parts)))
}

// holdsLengths reports whether the numbers below a heading are lengths that a
// wall may have, in millimetres or inches, and that there are some.
func (l *line) holdsLengths(v vocabulary, at int) bool {
	s, good, all := l.finder.sheet, 0, 0
	limit := limitOf(v.table.Name, "wall")
	unit, _ := quantity.LookUnit("mm", quantity.Length)
	for i := l.rows[len(l.rows)-1] + 1; i < s.Len() && all < 200; i++ {
		text := s.Cell(i, at)
		if isNothing(text, tables.KindLength) {
			continue
		}
		all++
		if q, err := quantity.Parse(text, unit, quantity.MarkBoth, quantity.Length); err == nil && (limit.holds(q.Base) || limit.holds(25.4*q.Base)) {
			good++
		}
	}
	return good > 0 && 5*good >= 4*all
}

// unitAbove is the unit that a line above the table gives the walls: Wall in mm.
func (l *line) unitAbove(v vocabulary) quantity.Unit {
	s := l.finder.sheet
	for row := l.rows[0] - 1; row >= max(l.top, l.rows[0]-titleDepth); row-- {
		for at := range min(s.Row(row).Width(), narrow) {
			text := s.Cell(row, at)
			before, _, _ := strings.Cut(text, ",")
			for _, t := range []string{text, before} {
				if m, _, ok := v.match(l.finder.heading(t)); ok && v.table.Columns[m.column].Name == "wall" && m.unit.Given() {
					return m.unit
				}
			}
		}
	}
	return quantity.Unit{}
}

func (v vocabulary) columnNamed(name string) int {
	return slices.IndexFunc(v.table.Columns, func(c tables.Column) bool { return c.Name == name })
}
