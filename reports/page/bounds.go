package page

import (
	"slices"
	"strings"
)

// A factory's result has thousands of molds. The page shows what needs action and says
// of how much that is; the workbook and the plain tables have it all.
const (
	moldsShown = 60  // rows of a table with a row a mold
	rowsShown  = 200 // rows of any table
	itemsShown = 8   // things to do for one reader
	namesShown = 40  // names in a sentence
)

// mostPressing keeps at most so many rows, those of the lowest rank, in their order, and
// adds below what is left out and where all stand.
func (s *section) mostPressing(t table, ranks []int, what, where string) {
	all := len(t.Rows)
	if all > moldsShown {
		at := make([]int, all)
		for i := range at {
			at[i] = i
		}
		slices.SortStableFunc(at, func(a, b int) int { return ranks[a] - ranks[b] })
		at = at[:moldsShown]
		slices.Sort(at)
		rows := make([]row, len(at))
		for i, k := range at {
			rows[i] = t.Rows[k]
		}
		t.Rows = rows
	}
	s.table(t)
	if all > moldsShown {
		s.small("Shown are %d of %d %s, those that need action first; all stand in %s.", moldsShown, all, what, where)
	}
}

// someNames joins the first names and counts the others.
func someNames(names []string) string {
	if len(names) <= namesShown {
		return strings.Join(names, ", ")
	}
	return strings.Join(names[:namesShown], ", ") + " and " + plural(len(names)-namesShown, "other", "others")
}
