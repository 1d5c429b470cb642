package workbook

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// shown bounds the rows of a table and says which are left out: those that need
// action are kept first, then rows at even distances or, where the table stands
// in order of need, those at its top. Rows keep their order.
func shown[R any](t table[R], lim limits) (table[R], string) {
	most := lim.most
	if t.long {
		most = cmp.Or(lim.long, most)
	}
	if t.most > 0 {
		most = min(most, t.most)
	}
	all := len(t.rows)
	if all <= most {
		return t, ""
	}
	var kept, rest []int
	ranked := byRank(t)
	marked := 0
	for _, rows := range ranked[:len(ranked)-1] {
		marked += len(rows)
		kept = append(kept, rows[:min(len(rows), most-len(kept))]...)
	}
	rest = ranked[len(ranked)-1]
	room := most - len(kept)
	step := 1
	if !t.pressing && room > 0 {
		step = (len(rest) + room - 1) / room
	}
	others := 0
	for i := 0; i < len(rest) && others < room; i += step {
		kept = append(kept, rest[i])
		others++
	}
	slices.Sort(kept)
	rows := make([]R, len(kept))
	for i, at := range kept {
		rows[i] = t.rows[at]
	}
	t.rows = rows
	return t, fmt.Sprintf("Shown here: %d of %d rows, %s. The full table: %s.", len(rows), all, leftOut(marked, len(kept)-others, others, step), t.full)
}

// leftOut says in words which rows are shown.
func leftOut(marked, ofThem, others, step int) string {
	var parts []string
	switch {
	case marked == 1:
		parts = append(parts, "the one that needs action")
	case marked > ofThem:
		parts = append(parts, fmt.Sprintf("the most pressing of the %d that need action", marked))
	case marked > 0:
		parts = append(parts, fmt.Sprintf("all %d that need action", marked))
	}
	switch {
	case others > 0 && step > 1:
		parts = append(parts, "every "+ordinal(step)+" of the others")
	case others > 0 && marked > 0:
		parts = append(parts, "and of the others those at the top of the order")
	case others > 0:
		parts = append(parts, "those at the top of the order")
	}
	return strings.Join(parts, ", ")
}

// byRank parts the rows, by number, into those that need action now, those that
// may soon, and all others.
func byRank[R any](t table[R]) [3][]int {
	var ranked [3][]int
	rank := t.rank
	if rank == nil {
		rank = rankByMarks(t)
	}
	for i, r := range t.rows {
		at := min(max(rank(r), 0), 2)
		ranked[at] = append(ranked[at], i)
	}
	return ranked
}

// rankByMarks ranks a row by the most urgent of its marks.
func rankByMarks[R any](t table[R]) func(R) int {
	return func(r R) int {
		rank := 2
		for _, m := range t.marks {
			for _, c := range t.columns {
				if c.head == m.on && c.value(r).text == m.words {
					rank = min(rank, map[tone]int{toneAct: 0, toneSoon: 1}[m.tone])
				}
			}
		}
		return rank
	}
}

func ordinal(n int) string {
	end := "th"
	switch {
	case n%100 >= 11 && n%100 <= 13:
	case n%10 == 1:
		end = "st"
	case n%10 == 2:
		end = "nd"
	case n%10 == 3:
		end = "rd"
	}
	return number(n) + end
}
