package ingest

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// Wide layouts: one row of the sheet holds several records. Each group of columns
// becomes a block of its own over the same rows, so that every value keeps its cell.

// mostGroups is how many records a row may hold.
const mostGroups = 400

// unpivot finds the groups of a wide layout: nil where the line is none.
func (f *finder) unpivot(l *line, left, right int) []candidate {
	right = min(right, len(l.texts))
	var best []candidate
	score := 0
	for _, v := range f.vocabularies() {
		for _, way := range []func(*line, vocabulary, int, int) []string{(*line).keysAbove, (*line).keysByNumber, (*line).keysByRepeat} {
			parts := l.groups(v, way(l, v, left, right), left, right)
			if sum := groupScore(parts); sum > score {
				best, score = parts, sum
			}
		}
		if v.table.Name != "casts" {
			continue
		}
		for _, parts := range [][]candidate{l.wallsByNumber(v, left, right), l.wallsByMold(v, left, right)} {
			if sum := groupScore(parts); sum > score {
				best, score = parts, sum
			}
		}
	}
	return best
}

func groupScore(parts []candidate) int {
	sum := 0
	for _, c := range parts {
		if sum += c.score(); c.follower {
			sum -= 2 * c.shared()
		}
	}
	return sum
}

// keysAbove tells the groups by the upper row of a header in two lines: Cast 1
// over Date and Wall.
func (l *line) keysAbove(v vocabulary, left, right int) []string {
	if len(l.rows) < 2 {
		return nil
	}
	keys := make([]string, len(l.texts))
	copy(keys, l.over)
	columns := map[string][]int{} // key to the declared columns below it
	heads := l.below(v)
	for at := left; at < right; at++ {
		if keys[at] != "" && heads[at].ok {
			columns[keys[at]] = append(columns[keys[at]], heads[at].match.column)
		}
	}
	for at, key := range keys { // what stands under one cell only belongs to all
		alike := 0
		for other, declared := range columns {
			if other != key && slices.Equal(declared, columns[key]) {
				alike++
			}
		}
		if alike == 0 || len(columns[key]) < 2 {
			keys[at] = ""
		}
	}
	return keys
}

// below understands the lower cell of each column by itself, where there is one.
func (l *line) below(v vocabulary) []headed {
	heads := slices.Clone(l.read(v))
	for at := range heads {
		if l.over[at] == "" {
			continue
		}
		text := l.finder.sheet.Cell(l.rows[1], at)
		m, misfit, ok := v.match(l.finder.heading(text))
		heads[at] = headed{text: text, match: m, misfit: misfit, ok: ok}
	}
	return heads
}

// castNumber finds the number of a cast in a heading: Cast 2, Wall cast 2 (mm).
var castNumber = regexp.MustCompile(`(?i)\b(?:casts?|casting|fill|filling|use|pour)[ _]*(?:no\.?|nr\.?|number|#)?[ _]*(\d{1,4})\b`)

// plainNumber finds one at the end of a name: Date 2, Dwell 2 (min), date_2,
// or at its beginning: 2 Date, 2. Date.
var plainNumber = regexp.MustCompile(`^\s*(?:(\d{1,3})\.?[ _]+(\pL[^\d]*)|(\pL[\pL ._]*?)[ _.#]*(\d{1,3})\s*([(\[,].*)?)$`)

// longestHeading is how many bytes a heading may have that is looked at for a
// number: a cell of megabytes would take minutes.
const longestHeading = 200

// numberIn parts a heading into the number of a group and the rest. Named says
// that a word such as cast stands with it.
func numberIn(text string) (n int, rest string, named bool) {
	if len(text) > longestHeading {
		return 0, text, false
	}
	if m := castNumber.FindStringSubmatchIndex(text); m != nil {
		n, _ = strconv.Atoi(text[m[2]:m[3]])
		return n, strings.Trim(quantity.Clean(text[:m[0]]+" "+text[m[1]:]), " _-:,/·–."), true
	}
	if m := plainNumber.FindStringSubmatch(text); m != nil {
		n, _ = strconv.Atoi(m[1] + m[4])
		return n, quantity.Clean(m[2] + m[3] + " " + m[5]), false
	}
	return 0, text, false
}

// keysByNumber tells the groups by numbers in the headings: Date 1, Wall 1, Date
// 2, Wall 2. Readings of one wall alone are none.
func (l *line) keysByNumber(v vocabulary, left, right int) []string {
	if len(l.rows) > 1 {
		return nil
	}
	keys := make([]string, len(l.texts))
	kinds := map[int]bool{}
	named := false
	for at := left; at < right; at++ {
		if len(l.texts[at]) == 0 {
			continue
		}
		n, rest, word := numberIn(l.texts[at][0])
		m, _, ok := v.match(l.finder.heading(rest))
		if n == 0 || !ok || m.pick > 0 && !word {
			continue
		}
		keys[at] = strconv.Itoa(n)
		kinds[m.column] = true
		named = named || word
	}
	if len(kinds) < 2 && !named {
		return nil
	}
	return keys
}

// keysByRepeat tells the groups by headings that come again: Mold, Date, Wall,
// Date, Wall.
func (l *line) keysByRepeat(v vocabulary, left, right int) []string {
	heads := l.read(v)
	times := map[int]int{}
	for at := left; at < right; at++ {
		if heads[at].ok {
			times[heads[at].match.column]++
		}
	}
	first, most, kinds := -1, 0, 0
	for at := left; at < right; at++ {
		if n := times[heads[at].match.column]; heads[at].ok && n > 1 {
			if first < 0 && v.table.Columns[heads[at].match.column].Kind != tables.KindLengths {
				first = heads[at].match.column
			}
			most = max(most, n)
		}
	}
	for _, n := range times {
		if n > 1 {
			kinds++
		}
	}
	if first < 0 || kinds < 2 {
		return nil
	}
	keys := make([]string, len(l.texts))
	group := 0
	for at := left; at < right; at++ {
		if !heads[at].ok || times[heads[at].match.column] < 2 {
			continue
		}
		if heads[at].match.column == first {
			group++
		}
		if group > 0 {
			keys[at] = strconv.Itoa(group)
		}
	}
	return keys
}

// groups makes a candidate of each key with the columns that have none. All
// must have what the table requires, and the same columns.
func (l *line) groups(v vocabulary, keys []string, left, right int) []candidate {
	if keys == nil {
		return nil
	}
	heads := l.unnumbered(v, keys)
	var order []string
	for at := left; at < right; at++ {
		if keys[at] != "" && heads[at].ok && !slices.Contains(order, keys[at]) {
			order = append(order, keys[at])
		}
	}
	if len(order) < 2 || len(order) > mostGroups {
		return nil
	}
	var parts []candidate
	for _, key := range order {
		c := l.with(v, heads, func(at int) bool { return at >= left && at < right && (keys[at] == "" || keys[at] == key) }, false)
		own := map[int]bool{}
		for k := range c.columns {
			col := &c.columns[k]
			col.shared = !col.other && keys[col.at] == ""
			if col.used && !col.shared {
				own[col.match.column] = true
			}
		}
		for _, col := range c.columns {
			if col.used && col.shared && own[col.match.column] {
				return nil
			}
		}
		if len(c.missing) > 0 || len(own) == 0 || c.matched-c.shared() == c.matched {
			return nil
		}
		parts = append(parts, c)
	}
	return l.wide(parts, fmt.Sprintf("each row holds %d records side by side", len(parts)))
}

// unnumbered understands the headings of groups without their numbers.
func (l *line) unnumbered(v vocabulary, keys []string) []headed {
	heads := slices.Clone(l.read(v))
	if len(l.rows) == 2 {
		heads = l.below(v)
	}
	for at, key := range keys {
		if key == "" || heads[at].ok && heads[at].match.pick == 0 {
			continue
		}
		_, rest, _ := numberIn(l.texts[at][0])
		if m, misfit, ok := v.match(l.finder.heading(rest)); ok {
			heads[at] = headed{text: l.texts[at][0], match: m, misfit: misfit, ok: true}
		}
	}
	for at, key := range keys { // what several rows name is matched as a whole outside of groups
		if key == "" && len(l.rows) == 2 {
			heads[at] = l.read(v)[at]
		}
	}
	return heads
}

// wide finishes the groups: the first tells what was understood.
func (l *line) wide(parts []candidate, what string) []candidate {
	if len(parts) < 2 {
		return nil
	}
	left, right := extent(parts)
	var own []string
	for k := range parts {
		c := &parts[k]
		c.follower, c.left, c.right = k > 0, left, right
		if k > 0 {
			c.notes = nil
		}
		for _, col := range c.columns {
			if name := c.vocabulary.table.Columns[col.match.column].Name; k == 0 && col.used && !col.shared && !slices.Contains(own, name) {
				own = append(own, name)
			}
		}
	}
	at := slices.IndexFunc(parts[0].columns, func(col column) bool { return col.used && !col.shared })
	parts[0].notes = append(parts[0].notes, note{-1, tables.Problem{
		Code: CodeWideLayout, Severity: tables.Notice, Value: parts[0].columns[at].header,
		Message: fmt.Sprintf("%s: each was read as a row of %s of its own, with its own %s", what, parts[0].vocabulary.table.Name, list(own)),
		Mend:    "nothing to do if that is right; otherwise write one row for each",
	}})
	return parts
}
