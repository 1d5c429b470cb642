package grid

import "slices"

// joiner puts the pieces of a text together, in order, as the rows of a sheet.
type joiner struct {
	sheet *Sheet
	lines int          // before the next piece
	codes [][][]uint32 // by reader and column, for each number that it gave that of the sheet
}

// join adds the rows of a piece.
func (j *joiner) join(p *piece) {
	s := j.sheet
	s.WiderRows += p.wider
	kept := s.keepable(p.numbers, j.lines)
	first := s.Len()
	for i := range kept {
		s.numbers.add(int(p.numbers[i]) + j.lines)
		s.widths.add(int(p.widths[i]))
	}
	for p.reader >= len(j.codes) {
		j.codes = append(j.codes, nil)
	}
	for at := range p.columns {
		if at == len(s.columns) {
			s.columns = append(s.columns, newColumn())
		}
		if at == len(j.codes[p.reader]) {
			j.codes[p.reader] = append(j.codes[p.reader], []uint32{0})
		}
		to := s.columns[at]
		before := to.weight
		to.join(&p.columns[at], first, kept, &j.codes[p.reader][at], s.keep)
		s.weight += to.weight - before
		s.filled += p.columns[at].cells
	}
	j.lines += p.lines
}

// keepable is how many of the rows of a part of the sheet, which stands that many
// lines below its top, are held. The others are counted.
func (s *Sheet) keepable(numbers []int32, lines int) int {
	kept := len(numbers)
	for kept > 0 && int(numbers[kept-1])+lines > MaxLines {
		kept--
	}
	if s.full() {
		kept = 0
	}
	s.RowsBeyond += len(numbers) - kept
	return kept
}

// join adds the cells of a piece's column in its first rows. codes has the column's
// number for each that the reader gave before.
func (c *column) join(of *pieceColumn, row, kept int, codes *[]uint32, keep func(string) string) {
	c.hits += of.cells - len(of.fresh)
	first, shift := uint32(c.count()), of.once && c.index == nil
	if shift {
		c.addOnce(of.fresh, keep != nil)
	} else {
		*codes = (*codes)[:of.base]
		for _, text := range of.fresh {
			*codes = append(*codes, c.codeOf(text, keep))
		}
	}
	for at, page := range of.pages {
		if n := min(PageRows, kept-at*PageRows); page != nil && n > 0 {
			cells := page[:n]
			var most uint32
			var filled int
			if shift {
				most, filled = shifted(cells, of.base, first)
			} else {
				most, filled = renumbered(cells, *codes)
			}
			c.fill(row+at*PageRows, cells, most, filled)
		}
	}
}

// addOnce adds texts without looking whether they are there.
func (c *column) addOnce(texts []string, keep bool) {
	if !keep {
		c.texts = append(c.texts, texts...)
		return
	}
	for _, text := range texts {
		c.once.add(text)
	}
}

// shifted moves numbers from one on so that they begin at another.
func shifted(all []uint32, from, to uint32) (most uint32, filled int) {
	for i, k := range all {
		if k != 0 {
			all[i] = k - from + to
			most = max(most, all[i])
			filled++
		}
	}
	return most, filled
}

// renumbered replaces numbers by others.
func renumbered(all []uint32, by []uint32) (most uint32, filled int) {
	for i, k := range all {
		k = by[k]
		all[i] = k
		most = max(most, k)
		if k != 0 {
			filled++
		}
	}
	return most, filled
}

// expect makes room for so many pieces like those that have been read.
func (s *Sheet) expect(pieces int) {
	n := min(s.Len()*pieces, MaxLines)
	s.widths.grow(n)
	for _, c := range s.columns {
		switch {
		case c.index != nil:
		case s.keep != nil:
			c.once.grow(n)
		default:
			c.texts = slices.Grow(c.texts, n)
		}
	}
}

// joinSheet adds the rows of a sheet that was read of a part of the text.
func (j *joiner) joinSheet(part *Sheet, lines int) {
	s := j.sheet
	s.cells += part.cells
	s.WiderRows += part.WiderRows
	for _, row := range part.BrokenQuotes {
		s.BrokenQuotes = append(s.BrokenQuotes, row+j.lines)
	}
	if part.Stop.Row > 0 && s.Stop.Row == 0 {
		s.Stop = Stop{part.Stop.Row + j.lines, part.Stop.Why}
	}
	numbers := make([]int32, part.Len())
	for i := range numbers {
		numbers[i] = int32(part.Number(i))
	}
	kept := s.keepable(numbers, j.lines)
	first := s.Len()
	for i := range kept {
		s.numbers.add(int(numbers[i]) + j.lines)
		s.widths.add(part.widths.at(i))
	}
	for at, from := range part.columns {
		if at == len(s.columns) {
			s.columns = append(s.columns, newColumn())
		}
		to := s.columns[at]
		before := to.weight
		to.joinColumn(from, first, kept, s.keep)
		s.weight += to.weight - before
		s.filled += from.filled
	}
	j.lines += lines
}

// joinColumn adds the cells of another column in its first rows.
func (c *column) joinColumn(from *column, row, kept int, keep func(string) string) {
	c.hits += max(0, kept-len(from.texts))
	codes := make([]uint32, from.count())
	for k := range codes {
		codes[k] = c.codeOf(from.text(uint32(k)), keep)
	}
	var room fourPage
	for at := range from.pages {
		if n := min(PageRows, kept-at*PageRows); n > 0 {
			cells := room[:n]
			from.pages[at].read(0, cells)
			most, filled := renumbered(cells, codes)
			if most > 0 {
				c.fill(row+at*PageRows, cells, most, filled)
			}
		}
	}
}
