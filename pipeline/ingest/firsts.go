package ingest

import (
	"iter"

	"moldwright/pipeline/ingest/grid"
)

// firsts are the rows of a block in which each code of a column stands first, in order.
type firsts struct {
	uses   []firstUse
	blanks bool // some rows hold nothing
}

type firstUse struct {
	row  int
	code uint32
}

// roomForCodes is how many codes of a column are looked at in one go.
const roomForCodes = 8 * grid.PageRows

// findFirsts looks through the columns of the block whose texts repeat, several at a
// time: what is asked of a column is asked of each of its different texts.
func (b *block) findFirsts() {
	if b.to-b.from < shareRows {
		return // they are found when they are asked for
	}
	found := make([]*firsts, len(b.columns))
	inTurns(len(b.columns), func(k int) {
		if col := &b.columns[k]; col.used && b.sheet.Repeats(col.at) {
			found[k] = b.firstsBetween(col.at, []int{b.from - 1, b.to})
		}
	})
	b.firsts = map[int]*firsts{}
	for k, f := range found {
		if f != nil {
			b.firsts[b.columns[k].at] = f
		}
	}
}

// firstsOf are those of a column, found at once where they are not yet.
func (b *block) firstsOf(at int) *firsts {
	f := b.firsts[at]
	if f == nil {
		f = b.firstsBetween(at, []int{b.from - 1, b.to})
		if b.firsts == nil {
			b.firsts = map[int]*firsts{}
		}
		b.firsts[at] = f
	}
	return f
}

// firstsBetween are those in the rows between some, which ascend.
func (b *block) firstsBetween(at int, bounds []int) *firsts {
	f := &firsts{}
	seen := make([]bool, b.sheet.Codes(at))
	seen[0] = true
	var room [roomForCodes]uint32
	for k := range len(bounds) - 1 {
		for from := bounds[k] + 1; from < bounds[k+1]; from += len(room) {
			codes := room[:min(len(room), bounds[k+1]-from)]
			b.sheet.CodesFrom(from, at, codes)
			for i, code := range codes {
				if code == 0 {
					f.blanks = true
				} else if !seen[code] {
					seen[code] = true
					f.uses = append(f.uses, firstUse{from + i, code})
				}
			}
		}
	}
	return f
}

// asking is a column of the sheet with what its codes ask for.
type asking struct {
	at   int
	asks func(code uint32, row int) bool
}

// asking walks over all rows of the block for which a column asks, in order; over all
// rows where no column is given.
func (b *block) asking(all []asking) iter.Seq[int] {
	return func(yield func(row int) bool) {
		var room [roomForCodes]uint32
		var asked [roomForCodes]bool
		n := 16 // few at first: most walks over small tables end soon
		for from := b.from; from < b.to; from += n {
			n = min(2*n, len(room), b.to-from)
			for i := range asked[:n] {
				asked[i] = len(all) == 0
			}
			for _, of := range all {
				b.sheet.CodesFrom(from, of.at, room[:n])
				for i, code := range room[:n] {
					asked[i] = asked[i] || of.asks(code, from+i)
				}
			}
			for i, is := range asked[:n] {
				if is && !yield(from+i) {
					return
				}
			}
		}
	}
}
