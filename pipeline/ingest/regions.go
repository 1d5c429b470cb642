package ingest

import (
	"slices"
	"strings"
	"unicode"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// region finds the tables between rows and columns.
func (f *finder) region(from, to, left, right int) []*block {
	best, near := f.first(from, to, left, right)
	if better(near, f.near) {
		f.near = near
	}
	if best.score == 0 || near.matched > best.parts[0].matched+1 && len(best.parts) == 1 {
		return nil
	}
	return f.under(best, from, to, left, right)
}

// under makes the blocks of a header and finds the tables below and beside them.
func (f *finder) under(h header, top, to, left, right int) []*block {
	first, last := extent(h.parts)
	var blocks []*block
	if right-left <= narrow {
		if beside := f.region(top, to, last+1, right); right-last > 2 && len(beside) > 0 {
			blocks, right = append(blocks, beside...), last+1
		}
		if beside := f.region(top, to, left, first-1); first-left > 2 && len(beside) > 0 {
			blocks, left = append(blocks, beside...), first
		}
	}
	for len(h.parts) > 0 {
		n := 1
		for n < len(h.parts) && h.parts[n].follower {
			n++
		}
		l, r := left, right
		if n < len(h.parts) {
			r = h.parts[n].left
		}
		blocks = append(blocks, f.stack(h.parts[:n], to, l, r)...)
		h.parts, left = h.parts[n:], r
	}
	return blocks
}

// stack makes the blocks of one table, or of the groups of a wide one, and finds
// what stands below between the columns.
func (f *finder) stack(parts []candidate, to, left, right int) []*block {
	var blocks []*block
	for _, c := range parts {
		b := f.newBlock(c)
		b.to = to
		blocks = append(blocks, b)
	}
	lead := blocks[0]
	next, found := f.next(lead, left, right)
	if found {
		lead.to = f.titlesAbove(lead, next.rows[0], left, right)
	}
	for _, b := range blocks {
		b.to, b.from, b.skip = lead.to, min(lead.from, lead.to), lead.skip
	}
	if found {
		blocks = append(blocks, f.under(next, lead.to, to, left, right)...)
	}
	return blocks
}

func extent(parts []candidate) (first, last int) {
	first = parts[0].left
	for _, c := range parts {
		first, last = min(first, c.left), max(last, c.right)
	}
	return first, last
}

// first is the first header between rows and columns, or one of the two rows
// below it that is one with more columns. Near is the fullest row that lacks a
// required column.
func (f *finder) first(from, to, left, right int) (best header, near candidate) {
	for i := from; i < min(to, from+headerDepth) && right-left >= 2; i++ {
		if best.score > 0 && i > best.rows[0]+2 {
			break
		}
		complete, partial := f.at(i, from, to, left, right, true)
		if complete.score > best.score {
			best = complete
		}
		if better(partial, near) {
			near = partial
		}
	}
	return best, near
}

// at understands a row, alone or with the one below it, as a header.
func (f *finder) at(i, top, to, left, right int, guess bool) (complete header, partial candidate) {
	single := f.oneLine(i, top)
	complete, partial = f.understand(single, left, right, guess)
	if i+1 >= to || right-left > narrow {
		return complete, partial
	}
	double, ok := f.twoLines(i, top, left, right)
	if !ok {
		return complete, partial
	}
	both, near := f.understand(double, left, right, guess)
	if below, _ := f.understand(f.oneLine(i+1, top), left, right, guess); both.score > 0 && below.score >= both.score {
		return complete, partial // the upper row is a title
	}
	if both.score > complete.score || both.score == complete.score && both.score > 0 && double.whole(both) {
		complete = both
	}
	if better(near, partial) {
		partial = near
	}
	return complete, partial
}

// next finds the next header below the block's own. One that is the same again
// is none, unless a line above it names another mold.
func (f *finder) next(b *block, left, right int) (header, bool) {
	for i := range b.asking(b.words(left, right)) {
		if !couldBeHeader(b.sheet.Row(i), left, right) {
			continue
		}
		if b.repeatsHeader(b.sheet.Row(i)) {
			titles := f.titlesAbove(b, i, left, right)
			if titles == i {
				continue
			}
			if again, _ := f.at(i, titles, b.to, left, right, false); again.score > 0 && !sameGiven(again.parts[0].given, b.given) {
				return again, true
			}
			for k := titles; k < i; k++ {
				b.skipRow(k)
			}
			continue
		}
		names := f.names(i, left, right)
		if i+1 < b.to {
			names += f.names(i+1, left, right)
		}
		if names < 2 {
			continue
		}
		if h, _ := f.at(i, f.titlesAbove(b, i, left, right), b.to, left, right, false); h.score > 0 {
			return h, true
		}
	}
	return header{}, false
}

// words asks for the rows that have a word, or nothing, in a column of days or numbers:
// no other can be a header. Where there is no such column all rows can.
func (b *block) words(left, right int) []asking {
	for _, col := range b.columns {
		if !col.used || col.at < left || col.at >= right || !b.sheet.Repeats(col.at) || quantity.DimensionOf(b.table.Columns[col.match.column]) == quantity.NoDimension && b.table.Columns[col.match.column].Kind != tables.KindDate {
			continue
		}
		known := map[uint32]bool{0: true}
		last, is := uint32(0), true
		return []asking{{col.at, func(code uint32, row int) bool {
			if code == last {
				return is
			}
			var seen bool
			if is, seen = known[code]; !seen {
				is = wordy(b.sheet.Cell(row, col.at))
				known[code] = is
			}
			last = code
			return is
		}}}
	}
	return nil
}

// names counts the cells of a row that name a column of some table. Rows of
// words are common among data, so that each text is looked up once.
func (f *finder) names(row, left, right int) int {
	n := 0
	for at := left; at < min(right, f.sheet.Row(row).Width()); at++ {
		text := f.sheet.Cell(row, at)
		if text == "" || len(text) > 80 {
			continue
		}
		known, seen := f.words[text]
		if !seen {
			h := f.heading(text)
			known = f.hints.rename != nil || slices.ContainsFunc(f.vocabularies(), func(v vocabulary) bool {
				_, _, ok := v.match(h)
				return ok
			})
			if f.words == nil || len(f.words) > 50_000 {
				f.words = map[string]bool{}
			}
			f.words[text] = known
		}
		if known {
			n++
		}
	}
	return n
}

// titlesAbove is the first of the rows directly above a header that are its
// titles: at most two cells, and not all that a row of the table above needs.
func (f *finder) titlesAbove(b *block, row, left, right int) int {
	s := f.sheet
	for row-1 >= b.from {
		cells, needed := 0, 0
		for at := left; at < min(right, s.Row(row-1).Width()); at++ {
			if s.Cell(row-1, at) != "" {
				cells++
			}
		}
		for i, decl := range b.table.Columns {
			if decl.Required && len(b.byDecl[i]) > 0 {
				needed++
			}
		}
		apart := cells == 1 && row-2 >= b.from && s.Number(row-2) < s.Number(row-1)-1 // below an empty row
		if cells > 2 || cells >= needed && !apart {
			break
		}
		row--
	}
	return row
}

// couldBeHeader tells quickly that most rows of data are none: a header has at
// least two cells, all of them words.
func couldBeHeader(r grid.Row, left, right int) bool {
	cells := 0
	for at := left; at < min(right, r.Width()); at++ {
		c := r.Cell(at)
		if c == "" {
			continue
		}
		if !wordy(c) {
			return false
		}
		cells++
	}
	return cells >= 2
}

// wordy reports whether a text could be a header: words, and not many.
func wordy(text string) bool {
	return len(text) <= 80 && !(text[0] >= '0' && text[0] <= '9') && strings.ContainsFunc(text, unicode.IsLetter)
}
