package ingest

import "moldwright/pipeline/tables"

// Tables side by side: one row is the header of several, with or without a blank
// column between.

// mostCuts is how many places of a header are tried.
const mostCuts = 64

// beside parts a header into tables that each have all that they require. Where
// no blank column parts them, the second must repeat a name of the first: a log of
// casts with the gravity of its slip in two more columns is one table.
func (l *line) beside(left, right int, sheetName string) []candidate {
	right = min(right, len(l.texts))
	var best []candidate
	score, tries := 0, 0
	for cut := left + 2; cut+2 <= right && tries < mostCuts; cut++ {
		blank := len(l.texts[cut-1]) == 0
		if len(l.texts[cut]) == 0 || !blank && !l.repeats(left, cut) {
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
		if c := l.as(v, l.read(v), left, right, false); len(c.missing) == 0 && c.matched >= 2 && betterHere(c, best, sheetName) {
			best = c
		}
	}
	return best
}

// repeats reports whether a heading at or right of the cut stands left of it too.
func (l *line) repeats(left, cut int) bool {
	for at := cut; at < len(l.texts); at++ {
		for before := left; before < cut && len(l.texts[at]) > 0; before++ {
			if len(l.texts[before]) > 0 && l.texts[before][0] == l.texts[at][0] {
				return true
			}
		}
	}
	return false
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
