package ingest

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"moldwright/pipeline/tables"
)

// Names of one thing are spelled in several ways: M-07, m7, Mold 7, #7. Two
// that are wrongly taken for one do more harm than two that are wrongly kept
// apart, so that the rules are narrow: names that a sheet lists as two stay
// two, and where a name could be either of several it stays itself and is asked
// about. Which names are joined does not depend on the order of rows; which
// spelling is kept does: the first, on the sheet that lists them if there is one.

// spelling is one way in which a name is written.
type spelling struct {
	name   string
	listed bool // it stands on the sheet that lists the domain
}

// doubt is a name that could be each of some listed ones.
type doubt struct {
	name  string
	could []string
}

// wordsOf are the words that may stand before the number of a thing without
// being part of its name, and whose abbreviations may.
var wordsOf = map[domain][]string{
	ofMolds:   {"mold", "mould", "moule", "molde", "gipsform", "gussform"},
	ofForms:   {"form", "shape"},
	ofPours:   {"pour", "batch", "mix"},
	ofSlips:   {"slip", "batch"},
	ofClasses: {"class"},
}

var numberWords = []string{"no", "nr", "num", "number"}

// key is a name without what does not tell things apart: case, spaces, hyphens,
// points, zeros before a number, and words such as mold or no. before one.
// letters and number are its parts where it has just these.
type key struct {
	text            string
	letters, number string
}

// keyOf is the key of a name in a domain.
func keyOf(d domain, name string) key {
	parts := partsOf(name)
	numbered := slices.ContainsFunc(parts, isNumber)
	if numbered {
		rest := slices.DeleteFunc(slices.Clone(parts), func(p string) bool {
			return slices.Contains(wordsOf[d], p) || slices.Contains(numberWords, p)
		})
		parts = rest
	}
	var k key
	for i, p := range parts {
		if isNumber(p) {
			if p = strings.TrimLeft(p, "0"); p == "" {
				p = "0"
			}
			if i > 0 && isNumber(parts[i-1]) {
				k.text += " "
			}
		}
		k.text += p
		switch {
		case i == len(parts)-1 && isNumber(p) && len(parts) <= 2:
			k.number = p
		case i == 0 && len(parts) == 2 && isWord(p):
			k.letters = p
		}
	}
	if k.number == "" {
		k.letters = ""
	}
	if k.text == "" {
		k.text = nameKey(name)
	}
	return k
}

// partsOf parts a name into runs of letters, runs of digits and signs that are
// part of it; spaces, hyphens, underscores, points and number signs are not.
func partsOf(name string) []string {
	var parts []string
	var last rune
	name = strings.ToLower(name)
	start := 0 // of the last part
	for i, r := range name {
		switch {
		case isBetween(r):
			last = ' '
			continue
		case last != 0 && (isDigit(r) && isDigit(last) || isLetter(r) && isLetter(last)):
			parts[len(parts)-1] = name[start:min(len(name), i+utf8.RuneLen(r))]
		default:
			start = i
			parts = append(parts, name[start:min(len(name), i+utf8.RuneLen(r))])
		}
		last = r
	}
	return parts
}

// isBetween reports whether a sign is no part of a name.
func isBetween(r rune) bool {
	if r < utf8.RuneSelf {
		return r == '-' || r == '_' || r == '.' || r == '#' || r == ' ' || r >= '\t' && r <= '\r'
	}
	return unicode.IsSpace(r) || strings.ContainsRune("–—‐‑°º", r)
}

func isDigit(r rune) bool {
	if r < utf8.RuneSelf {
		return r >= '0' && r <= '9'
	}
	return unicode.IsDigit(r)
}

func isLetter(r rune) bool {
	if r < utf8.RuneSelf {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z'
	}
	return unicode.IsLetter(r)
}

func isNumber(part string) bool { return strings.Trim(part, "0123456789") == "" }

func isWord(part string) bool {
	return !strings.ContainsFunc(part, func(r rune) bool { return !unicode.IsLetter(r) })
}

// abbreviates reports whether letters shorten one of the domain's words: they
// begin like it and stand in it in their order.
func (d domain) abbreviates(letters string) bool {
	return slices.ContainsFunc(wordsOf[d], func(word string) bool {
		rest := word
		for i, r := range letters {
			at := strings.IndexRune(rest, r)
			if at < 0 || i == 0 && at > 0 {
				return false
			}
			rest = rest[at+1:]
		}
		return letters != ""
	})
}

// joinNames finds the spellings of one name. names are all spellings of a domain,
// each once, the listed ones first. Each spelling that is to be replaced is a key
// of the map; doubts are names that stay what they are.
func joinNames(d domain, names []spelling) (joined map[string]string, doubts []doubt) {
	joined = map[string]string{}
	same := map[string]string{} // by nameKey, the spelling kept
	groups := map[string][]spelling{}
	var order []string
	var listed []spelling
	for _, s := range names {
		if first, seen := same[nameKey(s.name)]; seen {
			if first != s.name {
				joined[s.name] = first
			}
			continue
		}
		same[nameKey(s.name)] = s.name
		k := keyOf(d, s.name).text
		if groups[k] == nil {
			order = append(order, k)
		}
		groups[k] = append(groups[k], s)
		if s.listed {
			listed = append(listed, s)
		}
	}
	for _, k := range order {
		group := groups[k]
		among := slices.Clone(group)
		if n := slices.IndexFunc(group, func(s spelling) bool { return !s.listed }); n >= 0 {
			among = among[:n] // the listed ones, which come first
		}
		var could []string
		switch {
		case len(among) == 0:
			target, others := d.byNumber(group[0].name, listed)
			if could = others; target != "" {
				among = []spelling{{target, true}}
			} else if len(others) == 0 {
				among = group[:1]
			}
		case len(among) > 1:
			for _, s := range among {
				could = append(could, s.name)
			}
		}
		for _, s := range group {
			switch {
			case s.listed || len(among) == 1 && s.name == among[0].name:
			case len(among) == 1:
				joined[s.name] = among[0].name
			default:
				doubts = append(doubts, doubt{s.name, could})
			}
		}
		if len(among) == 0 { // unlisted spellings of one number that could be several listed ones
			for _, s := range group[1:] {
				joined[s.name] = group[0].name
			}
			doubts = slices.DeleteFunc(doubts, func(x doubt) bool { return x.name != group[0].name && joined[x.name] == group[0].name })
		}
	}
	for name, first := range joined { // a spelling of a spelling
		if further, ok := joined[first]; ok {
			joined[name] = further
		}
	}
	return joined, doubts
}

// byNumber finds the listed name that an unlisted one means by its number alone:
// 7 or Mold 7 is M-07 where that is the only listed one with this number, and its
// letters say no more than mold, or are those of all. others are the names it
// could be where that is not certain.
func (d domain) byNumber(name string, listed []spelling) (target string, others []string) {
	k := keyOf(d, name)
	if k.number == "" || k.letters != "" && !d.abbreviates(k.letters) {
		return "", nil
	}
	letters, alike, numbered := "", true, 0
	certain := false
	for _, s := range listed {
		l := keyOf(d, s.name)
		if l.number == "" {
			alike = false
			continue
		}
		if numbered++; numbered > 1 && l.letters != letters {
			alike = false
		}
		letters = l.letters
		if l.number == k.number {
			others = append(others, s.name)
			certain = l.letters == "" || d.abbreviates(l.letters)
		}
	}
	switch {
	case len(others) == 1 && (certain || alike && numbered > 1 && k.letters == ""):
		return others[0], nil
	case k.letters != "" && len(others) == 1:
		return "", nil // m7 beside a listed B7 is another mold
	}
	return "", others
}

// met is a spelling with its first use and the number of its rows.
type met struct {
	spelling
	first use
	rows  int
}

// spellings lists how the names of a domain are written, in the order of uses.
func (r *reader) spellings(d domain) []met {
	index := map[string]int{}
	var all []met
	for u := range r.uses(d) {
		k, seen := index[*u.name]
		if !seen {
			k = len(all)
			index[*u.name] = k
			all = append(all, met{spelling{*u.name, u.lists}, u, 0})
		}
		all[k].rows += u.rows
	}
	return all
}

// wording is how the names of a domain are written, and which of them are one.
type wording struct {
	all    []met
	joined map[string]string
	doubts []doubt
}

func (r *reader) wording(d domain) wording {
	w := wording{all: r.spellings(d)}
	names := make([]spelling, len(w.all))
	for i, m := range w.all {
		names[i] = m.spelling
	}
	w.joined, w.doubts = joinNames(d, names)
	return w
}

// joinSpellings writes the spellings of one name alike and notes each that was
// changed, or that is in doubt, once.
func (r *reader) joinSpellings() {
	domains := []domain{ofMolds, ofForms, ofPours, ofSlips, ofMakers, ofClasses}
	found := make([]wording, len(domains))
	r.shelves.casts.tallyNames()
	inTurns(len(domains), func(k int) { found[k] = r.wording(domains[k]) })
	for k, d := range domains {
		joined, doubts := found[k].joined, found[k].doubts
		if d == ofMolds {
			r.keepApart(joined)
		}
		for _, m := range found[k].all {
			if to, ok := joined[m.name]; ok {
				r.note(m.first.at, m.first.column, tables.Problem{
					Code: CodeSpellingJoined, Severity: tables.Notice, Value: m.name,
					Message: fmt.Sprintf("the %s “%s” (%s) was taken to be “%s”", d, shown(m.name), rowsOf(m.rows), shown(to)),
					Mend:    "nothing to do if that is right; otherwise give different names",
				})
			}
			for _, x := range doubts {
				if x.name == m.name {
					r.note(m.first.at, m.first.column, tables.Problem{
						Code: CodeNameUnclear, Severity: tables.Notice, Value: m.name,
						Message: fmt.Sprintf("the %s “%s” (%s) could be %s; it is kept as one of its own", d, shown(m.name), rowsOf(m.rows), either(x.could)),
						Mend:    fmt.Sprintf("write the name as it stands on the %ss sheet", d),
					})
				}
			}
		}
		if len(joined) == 0 {
			continue
		}
		for u := range r.uses(d) {
			if to, ok := joined[*u.name]; ok {
				*u.name = to
			}
		}
	}
}

// either lists names: “A7” or “B7”.
func either(names []string) string {
	const most = 4
	var quoted []string
	for _, n := range names[:min(len(names), most)] {
		quoted = append(quoted, "“"+shown(n)+"”")
	}
	if len(names) > most {
		quoted = append(quoted, "another")
	}
	return strings.Join(quoted, " or ")
}

// keepApart takes spellings of molds out of joined that were cast at the same
// moment as the mold that they were to be, but otherwise: those are two molds.
// Spellings that differ only by case or space are not looked at.
func (r *reader) keepApart(joined map[string]string) {
	watched := map[string]bool{}
	for name, to := range joined {
		if nameKey(name) != nameKey(to) {
			watched[name], watched[to] = true, true
		}
	}
	if len(watched) == 0 {
		return
	}
	type moment struct {
		mold string
		date tables.Date
		time float64
	}
	type measured struct{ dwell, wall float64 }
	casts := r.shelves.casts
	names := casts.pack.Names(casts.at.mold)
	moments := map[moment]measured{}
	isWatched := make([]bool, len(names))
	for k, name := range names {
		isWatched[k] = watched[name]
	}
	of := func(row int) measured {
		return measured{casts.pack.Number(casts.at.dwell, row), casts.wall(row)}
	}
	for row := range casts.rows() {
		k := casts.pack.Name(casts.at.mold, row)
		if isWatched[k] && casts.day(row).Valid() && tables.Has(casts.minute(row)) {
			moments[moment{names[k], casts.day(row), casts.minute(row)}] = of(row)
		}
	}
	for row := range casts.rows() {
		k := casts.pack.Name(casts.at.mold, row)
		if !isWatched[k] || !tables.Has(casts.minute(row)) {
			continue
		}
		to, ok := joined[names[k]]
		if !ok || nameKey(to) == nameKey(names[k]) {
			continue
		}
		if other, clash := moments[moment{to, casts.day(row), casts.minute(row)}]; clash && other != of(row) {
			delete(joined, names[k])
		}
	}
}
