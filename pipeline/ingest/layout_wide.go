package ingest

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"moldwright/pipeline/ingest/grid"
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
		m, misfit, ok := v.match(newHeading(text))
		heads[at] = headed{text: text, match: m, misfit: misfit, ok: ok}
	}
	return heads
}

// castNumber finds the number of a cast in a heading: Cast 2, Wall cast 2 (mm).
var castNumber = regexp.MustCompile(`(?i)\b(?:casts?|casting|fill|filling|use|pour)[ _]*(?:no\.?|nr\.?|number|#)?[ _]*(\d{1,4})\b`)

// plainNumber finds one at the end of a name: Date 2, Dwell 2 (min), date_2,
// or at its beginning: 2 Date, 2. Date.
var plainNumber = regexp.MustCompile(`^\s*(?:(\d{1,3})\.?[ _]+(\pL[^\d]*)|(\pL[\pL ._]*?)[ _.#]*(\d{1,3})\s*([(\[,].*)?)$`)

// numberIn parts a heading into the number of a group and the rest. Named says
// that a word such as cast stands with it.
func numberIn(text string) (n int, rest string, named bool) {
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
		m, _, ok := v.match(newHeading(rest))
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
		if m, misfit, ok := v.match(newHeading(rest)); ok {
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
			m, _, ok := v.match(newHeading(rest))
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
				if m, _, ok := v.match(newHeading(t)); ok && v.table.Columns[m.column].Name == "wall" && m.unit.Given() {
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

// turned looks for tables on a sheet that stands on its side: labels down a
// column, one record in each column beside it.
func (f *finder) turned() []*block {
	t := turn(f.sheet)
	if t == nil {
		return nil
	}
	g := &finder{sheet: t, hints: f.hints, turnedFrom: f.sheet}
	blocks := g.region(0, t.Len(), 0, t.Width())
	for _, b := range blocks {
		if !b.mostlyKnown() {
			return nil // a list of words, among them some that are names of columns
		}
	}
	for _, b := range blocks {
		b.turned = true
		if b.follower {
			continue
		}
		b.notes = append(b.notes, note{-1, tables.Problem{
			Code: CodeWideLayout, Severity: tables.Notice, Value: b.columns[b.byDecl[b.firstDecl()][0]].header,
			Message: fmt.Sprintf("the table stands on its side: each column was read as one row of %s", b.table.Name),
			Mend:    "nothing to do if that is right; otherwise write one row for each",
		}})
	}
	return blocks
}

// mostlyKnown reports whether at least half of the labels between the first and
// the last that is known mean something.
func (b *block) mostlyKnown() bool {
	known, since, all := 0, 0, 0
	for _, col := range b.columns {
		switch {
		case col.other || col.header == "":
		case col.used:
			known++
			all, since = all+since+1, 0
		case known > 0:
			since++
		}
	}
	return 2*known >= all
}

func (b *block) firstDecl() int {
	return slices.IndexFunc(b.byDecl, func(ks []int) bool { return len(ks) > 0 })
}

// most cells that a sheet to be turned may have, and rows: a log of casts that
// runs down is none.
const (
	turnCells = 2_000_000
	turnRows  = 200
)

// turn is a copy of the sheet whose rows are its columns; nil where the sheet
// is too long for one that stands on its side.
func turn(s *grid.Sheet) *grid.Sheet {
	if s.Len() < 2 || s.Number(s.Len()-1) > turnRows || s.Width() < 2 || s.Width()*s.Number(s.Len()-1) > turnCells {
		return nil
	}
	rows := make([][]string, s.Width())
	for at := range rows {
		rows[at] = make([]string, s.Number(s.Len()-1))
		for i := range s.Len() {
			rows[at][s.Number(i)-1] = s.Cell(i, at)
		}
	}
	t := grid.Of(s.Text, rows...)
	t.Name, t.Date1904, t.Semicolons = s.Name, s.Date1904, s.Semicolons
	return t
}
