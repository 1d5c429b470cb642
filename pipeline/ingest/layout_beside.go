package ingest

import (
	"slices"

	"moldwright/pipeline/tables"
)

// Tables side by side: one row is the header of several, with or without a blank
// column between.

// Tables side by side are looked for in headers of so many columns, and so many
// places of a header are tried.
const (
	mostBeside = 128
	mostCuts   = 12
)

// beside parts a header into tables that each have all that they require. Where
// no blank column parts them, the second must repeat a name of the first: a log of
// casts with the gravity of its slip in two more columns is one table.
func (l *line) beside(left, right int, sheetName string) []candidate {
	right = min(right, len(l.texts))
	if right-left > mostBeside {
		return nil
	}
	if parts, done := l.splits[left]; done {
		return parts
	}
	if l.splits == nil {
		l.splits = map[int][]candidate{}
	}
	best := l.cutFrom(left, right, sheetName)
	l.splits[left] = best
	return best
}

// cutFrom tries the places at which the first table may end.
func (l *line) cutFrom(left, right int, sheetName string) (best []candidate) {
	score, tries := 0, 0
	repeat := l.lastRepeat(left, right)
	for cut := left + 2; cut+2 <= right && tries < mostCuts; cut++ {
		blank := len(l.texts[cut-1]) == 0
		if len(l.texts[cut]) == 0 || !blank && cut > repeat || !l.mayStart(left, cut, right) {
			continue
		}
		tries++
		a := l.complete(left, cut, sheetName)
		if a.matched == 0 || !l.listsOnce(a) {
			continue
		}
		b := l.complete(cut, right, sheetName)
		if b.matched == 0 || !l.listsOnce(b) {
			continue
		}
		parts := []candidate{a, b}
		if more := l.beside(cut, right, sheetName); more != nil {
			parts = append(parts[:1], more...)
		}
		sum := 0
		for _, c := range parts {
			sum += c.score()
		}
		if sum > score {
			best, score = parts, sum
		}
	}
	return best
}

// complete is the best table between two columns that has all it requires.
func (l *line) complete(left, right int, sheetName string) candidate {
	var best candidate
	for _, v := range l.finder.vocabularies() {
		if !l.hasRequired(v, left, right) {
			continue
		}
		if c := l.as(v, l.read(v), left, right, false); len(c.missing) == 0 && c.matched >= 2 && betterHere(c, best, sheetName) {
			best = c
		}
	}
	return best
}

// hasRequired tells quickly whether all required columns stand between two
// columns, or are given.
func (l *line) hasRequired(v vocabulary, left, right int) bool {
	has := make([]bool, len(v.table.Columns))
	for _, h := range l.read(v)[left:min(right, len(l.texts))] {
		if h.ok {
			has[h.match.column] = true
		}
	}
	for _, g := range l.finder.givenFor(v, l, has) {
		has[g.column] = true
	}
	for i, decl := range v.table.Columns {
		if decl.Required && !has[i] {
			return false
		}
	}
	return true
}

// lastRepeat is the last column whose heading stands further left too, -1 for
// none: a table that repeats a name begins there at the latest.
func (l *line) lastRepeat(left, right int) int {
	seen, last := map[string]bool{}, -1
	for at := left; at < right; at++ {
		if len(l.texts[at]) == 0 {
			continue
		}
		if seen[l.texts[at][0]] {
			last = at
		}
		seen[l.texts[at][0]] = true
	}
	return last
}

// mayStart tells quickly that most places part no tables: on both sides of the
// cut two columns of one table are known.
func (l *line) mayStart(left, cut, right int) bool {
	for _, side := range [][2]int{{left, cut}, {cut, right}} {
		if !slices.ContainsFunc(l.finder.vocabularies(), func(v vocabulary) bool {
			n := 0
			for _, h := range l.read(v)[side[0]:side[1]] {
				if h.ok {
					n++
				}
			}
			return n >= 2
		}) {
			return false
		}
	}
	return true
}

// listsOnce reports whether a table that lists things by name (molds, slips)
// names each about once: where it does not, it is none of its own.
func (l *line) listsOnce(c candidate) bool {
	t := c.vocabulary.table
	id := t.Columns[0]
	if id.Kind != tables.KindID || !id.Required || t.Name == "gaps" || t.Name == "orders" {
		return true
	}
	s := l.finder.sheet
	for _, col := range c.columns {
		if !col.used || col.match.column != 0 {
			continue
		}
		seen, cells, again := map[string]bool{}, 0, 0
		for i := l.rows[len(l.rows)-1] + 1; i < s.Len() && cells < 500; i++ {
			name := nameKey(s.Cell(i, col.at))
			if name == "" {
				continue
			}
			cells++
			if seen[name] {
				again++
			}
			seen[name] = true
		}
		return again*3 <= cells
	}
	return true
}
