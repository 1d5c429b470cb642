package plaster

import (
	"cmp"
	"slices"
	"strings"

	"moldwright/pipeline/tables"
)

// allClasses names the row for all classes together, otherClasses the one for
// those without a row of their own.
const (
	allClasses   = "all"
	otherClasses = "other classes"
)

const (
	// So many classes get a budget of their own, those with the most plaster.
	mostClasses = 12
	// A class without a pour for so many days has no budget of its own.
	goneDays = 400
	// A class whose first pour is so many days after the log's did not exist before.
	newClassDays = 365
)

// classPours are the pours of one class.
type classPours struct {
	name    string
	pours   []int32 // places among the entries, which stand oldest first
	kg      float64
	first   tables.Date // NoDate for none
	last    tables.Date
	planned float64 // pours planned for the coming term, absent for no plan
	others  bool
}

// classesOf gathers the entries by class: those that get a budget of their own, in
// the order of their names, and last the others together, where there are any.
func (b book) classesOf(asOf tables.Date) []classPours {
	all := b.byClass()
	b.addPlans(&all)
	slices.SortStableFunc(all, func(x, y classPours) int {
		return cmp.Or(cmp.Compare(rank(x, asOf), rank(y, asOf)), cmp.Compare(y.kg, x.kg), cmp.Compare(fold(x.name), fold(y.name)))
	})
	own, rest := all, []classPours(nil)
	for i, c := range all {
		if !tables.Has(c.planned) && (i >= mostClasses || asOf-c.last > goneDays) {
			own, rest = all[:i], all[i:]
			break
		}
	}
	slices.SortFunc(own, func(x, y classPours) int { return cmp.Compare(fold(x.name), fold(y.name)) })
	if len(rest) == 0 {
		return own
	}
	others := classPours{name: otherClasses, others: true, planned: tables.Absent()}
	for _, c := range rest {
		others.pours = append(others.pours, c.pours...)
	}
	slices.Sort(others.pours)
	return append(slices.Clone(own), others)
}

// rank puts classes with a plan first and those that are gone last.
func rank(c classPours, asOf tables.Date) int {
	switch {
	case tables.Has(c.planned):
		return 0
	case asOf-c.last > goneDays:
		return 2
	}
	return 1
}

func (b book) byClass() []classPours {
	names, of := b.groupsBy(func(e *entry) string { return e.Class })
	members := placesBy(of, len(names)).each()
	out := make([]classPours, len(names))
	for k, name := range names {
		c := classPours{name: name, pours: members[k], planned: tables.Absent()}
		for _, i := range c.pours {
			c.kg += b.entries[i].PlasterKg
		}
		c.first, c.last = b.entries[c.pours[0]].Date, b.entries[c.pours[len(c.pours)-1]].Date
		out[k] = c
	}
	return out
}

// addPlans enters the pours planned, for classes without a pour so far too.
func (b book) addPlans(all *[]classPours) {
	var names []string
	for name := range b.set.PlannedPours {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		planned := float64(max(0, b.set.PlannedPours[name]))
		i := slices.IndexFunc(*all, func(c classPours) bool { return fold(c.name) == fold(name) })
		if i < 0 {
			*all = append(*all, classPours{name: strings.TrimSpace(name), first: tables.NoDate, last: tables.NoDate, planned: planned})
			continue
		}
		(*all)[i].planned = planned
	}
}

// cellsOf counts the pours of classes in the windows. A class that is newer than
// the log has no cells before it was there.
func (b book) cellsOf(classes []classPours, windows []window) []cell {
	begin := b.entries[0].Date
	var out []cell
	for c, class := range classes {
		for _, w := range windows {
			if !class.others && class.first-begin > newClassDays && w.last < class.first {
				continue
			}
			one := cell{class: c, window: w}
			one.pours = float64(b.firstFrom(class.pours, w.last+1) - b.firstFrom(class.pours, w.first))
			out = append(out, one)
		}
	}
	return out
}

// firstFrom is where among pours, oldest first, those from a day on begin.
func (b book) firstFrom(pours []int32, day tables.Date) int {
	at, _ := slices.BinarySearchFunc(pours, day, func(i int32, day tables.Date) int { return cmp.Compare(b.entries[i].Date, day) })
	return at
}
