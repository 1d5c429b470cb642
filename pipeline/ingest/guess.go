package ingest

import (
	"fmt"
	"slices"
	"strings"

	"moldwright/pipeline/tables"
)

// Headers with a slip of the pen: Dwel, Mold nubmer.

// guess gives columns that mean nothing as they stand the meaning whose name
// they are nearest to, where the table has no other column for it.
func (c *candidate) guess(heads []headed, taken [][]int) {
	for k := range c.columns {
		col := &c.columns[k]
		if col.used || col.header == "" || heads[col.at].misfit != "" || heads[col.at].out {
			continue
		}
		m, name, ok := c.vocabulary.guess(newHeading(col.header))
		if !ok || len(taken[m.column]) > 0 {
			continue
		}
		col.match, col.used = m, true
		taken[m.column] = append(taken[m.column], k)
		c.guessed++
		c.notes = append(c.notes, note{col.at, tables.Problem{
			Code: CodeHeaderGuessed, Severity: tables.Notice, Value: col.header,
			Message: fmt.Sprintf("the header “%s” was taken for “%s”, which it is nearest to", shown(col.header), name),
			Mend:    "nothing to do if that is right; otherwise give the column another name",
		}})
	}
}

// slips is how many letters of a name may be wrong: one in names of four
// letters and more, two from nine on.
func slips(name string) int {
	switch n := len([]rune(name)); {
	case n >= 9:
		return 2
	case n >= 4:
		return 1
	}
	return 0
}

// guess finds the one column to whose names a header is near. The first letter
// must stand, and a name of another column of the table is never a slip.
func (v vocabulary) guess(h heading) (match, string, bool) {
	least := 3
	var found []named
	var read reading
	for _, r := range h.readings[:min(len(h.readings), 12)] {
		words := strings.Join(r.words, " ")
		if len(words) < 2 || len(words) > 40 {
			continue
		}
		for _, e := range v.spellings {
			if e.text[0] != words[0] || len(e.text) > 30 || len(words)-len(e.text) > 2 || r.id && e.id {
				continue
			}
			d := editDistance(words, e.text)
			if d == 0 || d > slips(e.text) && !abbreviates(r.words, e.text) {
				continue
			}
			if d = min(d, slips(e.text)+1); d > slips(e.text) { // an abbreviation
				d = 1
			}
			if d > least {
				continue
			}
			if d < least {
				least, found, read = d, nil, r
			}
			if !slices.ContainsFunc(found, func(n named) bool { return n.column == e.column }) {
				found = append(found, e.named)
			}
		}
	}
	if len(found) != 1 {
		return match{}, "", false
	}
	n := found[0]
	n.exact = false
	m, _, ok := v.fits(n, read, h)
	return m, v.table.Columns[n.column].Name, ok
}

// abbreviates reports whether words stand for those of a name in turn: the same
// word, its consonants (wtr, plstr, dt), or its beginning (ins. dia.).
func abbreviates(words []string, name string) bool {
	full := strings.Fields(name)
	if len(full) != len(words) {
		return false
	}
	for i, w := range words {
		begins := len(w) >= 3 && len(full[i]) >= 6 && strings.HasPrefix(full[i], w)
		if w != full[i] && !begins && (len(w) < 2 || w != consonants(full[i])) {
			return false
		}
	}
	return true
}

// consonants is a word without the vowels behind its first letter.
func consonants(w string) string {
	return w[:1] + strings.Map(func(r rune) rune {
		if strings.ContainsRune("aeiou", r) {
			return -1
		}
		return r
	}, w[1:])
}

// spelt is a name of a column as it may be misspelt.
type spelt struct {
	named
	text string
	id   bool // with a word such as number behind it
}

// spellings lists all names of a vocabulary, in order, those of names and codes
// also with a word such as number behind.
func (v vocabulary) allSpellings() []spelt {
	var out []spelt
	for text, names := range v.names {
		for _, n := range names {
			if text == "" {
				continue
			}
			out = append(out, spelt{n, text, false})
			if v.table.Columns[n.column].Kind == tables.KindID && n.exact {
				for _, w := range idWords {
					out = append(out, spelt{n, text + " " + w, true})
				}
			}
		}
	}
	slices.SortFunc(out, func(a, b spelt) int {
		if c := strings.Compare(a.text, b.text); c != 0 {
			return c
		}
		return a.column - b.column
	})
	return out
}
