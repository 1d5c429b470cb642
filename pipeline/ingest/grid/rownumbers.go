package grid

import "slices"

// RowNumbers are the numbers of rows, ascending, kept as runs of rows of which each
// follows on the one before: most sheets are one such run.
type RowNumbers struct {
	firsts  []int32 // index of the first row of each run
	numbers []int32 // its number
	rows    int
}

func (r *RowNumbers) add(number int) {
	if n := len(r.firsts); n == 0 || int(r.numbers[n-1])+r.rows-int(r.firsts[n-1]) != number {
		r.firsts, r.numbers = append(r.firsts, int32(r.rows)), append(r.numbers, int32(number))
	}
	r.rows++
}

// At is the number of row i.
func (r *RowNumbers) At(i int) int {
	k := len(r.firsts) - 1
	if i < int(r.firsts[k]) {
		var exact bool
		if k, exact = slices.BinarySearch(r.firsts, int32(i)); !exact {
			k--
		}
	}
	return int(r.numbers[k]) + i - int(r.firsts[k])
}

// Find gives the place of the row with a number, or of the first one after it.
func (r *RowNumbers) Find(number int) (i int, ok bool) {
	number = min(number, MaxLines)
	k, exact := slices.BinarySearch(r.numbers, int32(max(number, 0)))
	if exact {
		return int(r.firsts[k]), true
	}
	end := r.rows
	if k < len(r.firsts) {
		end = int(r.firsts[k])
	}
	if k == 0 {
		return end, false
	}
	if i = int(r.firsts[k-1]) + number - int(r.numbers[k-1]); i < end {
		return i, true
	}
	return end, false
}

// widths are how many columns rows have up to their last content: a byte a row, and
// more for the few that are wider.
type widths struct {
	all  []uint8
	wide map[int]int
}

const widest = 0xff

func (w *widths) grow(n int) { w.all = slices.Grow(w.all, n) }

func (w *widths) add(n int) {
	w.all = append(w.all, uint8(min(n, widest)))
	w.set(len(w.all)-1, n)
}

func (w *widths) at(i int) int {
	if w.all[i] == widest {
		return w.wide[i]
	}
	return int(w.all[i])
}

func (w *widths) set(i, n int) {
	w.all[i] = uint8(min(n, widest))
	if n < widest {
		return
	}
	if w.wide == nil {
		w.wide = map[int]int{}
	}
	w.wide[i] = n
}
