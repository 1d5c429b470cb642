package plaster

import (
	"strings"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// fold makes names comparable: case and surrounding space don't count.
func fold(name string) string { return strings.ToLower(strings.TrimSpace(name)) }

// moldFacts is what the log knows of a mold and of its casts.
type moldFacts struct {
	name       string // as the molds table spells it
	form, kind string
	listed     bool // whether the log knows it at all
	inUse      bool
	casts      int // made so far, those before the log included
	goodCasts  int // in the log
}

// numbers are those of names, from 1 on. Names are compared once, when they get
// their numbers: a factory has some hundred thousand of them.
type numbers map[string]int32

// of is the number of a name, a new one where it has none.
func (n numbers) of(name string) int32 {
	key := fold(name)
	number, ok := n[key]
	if !ok {
		number = int32(len(n)) + 1
		n[key] = number
	}
	return number
}

// links tells which molds came from which pour.
type links struct {
	molds  []moldFacts // by number; 0 stands for no mold
	moldOf numbers
	pourOf numbers // of the pours in the book, and of those that the molds table names besides
	made   grouped // by number of a pour the numbers of the molds that it made
}

// madeBy are the numbers of the molds that a pour made.
func (l links) madeBy(pour int32) []int32 { return l.made.of(pour) }

// linkMolds joins pours and molds. A mold belongs to the pour that the molds
// table names for it. Where none is named it belongs to the last good pour that
// names the mold, or else to the last pour that does: a mold that failed and was
// poured again came from the second pour. It sets the numbers of the entries' molds.
func linkMolds(s tables.Studio, log history.Log, entries []entry, pourOf numbers) links {
	l := links{molds: make([]moldFacts, 1, len(log.Molds)+1), moldOf: make(numbers, len(log.Molds)), pourOf: pourOf}
	l.takeUp(log)
	var pours, molds []int32 // a pour and a mold that it made
	named := make([]bool, len(l.molds))
	names, nameAt := s.Molds.NamesAt("mold")
	pourNames, pourAt := s.Molds.NamesAt("pour")
	for i := range s.Molds.Len() {
		pour := pourNames[pourAt(i)]
		if pour == "" {
			continue
		}
		mold := l.mold(names[nameAt(i)])
		if named = reach(named, mold); !named[mold] {
			named[mold] = true
			pours, molds = append(pours, l.pourOf.of(pour)), append(molds, mold)
		}
	}
	maker := make([]int32, len(l.molds)) // by mold, 1 more than the place of the pour
	var order []int32                    // of first mention
	for i := range entries {
		e := &entries[i]
		if fold(e.Mold) == "" {
			continue
		}
		e.own = l.mold(e.Mold)
		if named = reach(named, e.own); named[e.own] {
			continue
		}
		maker = reach(maker, e.own)
		before := maker[e.own]
		if before == 0 {
			order = append(order, e.own)
		}
		if before == 0 || isGood(e.Pour) || !isGood(entries[before-1].Pour) {
			maker[e.own] = int32(i) + 1
		}
	}
	for _, mold := range order {
		pours, molds = append(pours, entries[maker[mold]-1].number), append(molds, mold)
	}
	l.made = groupsOfValues(pours, molds, len(l.pourOf)+1)
	return l
}

// reach makes a list long enough for a place.
func reach[T any](list []T, place int32) []T {
	if missing := int(place) + 1 - len(list); missing > 0 {
		return append(list, make([]T, missing)...)
	}
	return list
}

// mold is the number of a mold of that name.
func (l *links) mold(name string) int32 {
	n := l.moldOf.of(name)
	l.molds = reach(l.molds, n)
	return n
}

// takeUp enters the molds of the log.
func (l *links) takeUp(log history.Log) {
	for _, m := range log.Molds {
		f := moldFacts{name: m.Mold, form: m.Form, kind: m.Kind, listed: true, inUse: m.InUse(), casts: m.Age}
		for i := m.First; i < m.Last; i++ {
			if log.Casts[i].Result == history.Good {
				f.goodCasts++
			}
		}
		l.molds[l.mold(m.Mold)] = f
	}
}

// usedMold reports whether a mold that can be used, or was used, came from the pour.
func (l links) usedMold(pour int32) bool {
	for _, mold := range l.madeBy(pour) {
		if f := &l.molds[mold]; f.listed && (f.inUse || f.casts > 0) {
			return true
		}
	}
	return false
}

// kindAndForm of the mold that a pour made or was to make, the number own; "" where
// unknown.
func (l links) kindAndForm(own, pour int32) (kind, form string) {
	if f := &l.molds[own]; f.listed {
		return f.kind, f.form
	}
	for _, mold := range l.madeBy(pour) {
		if f := &l.molds[mold]; f.listed {
			return f.kind, f.form
		}
	}
	return "", ""
}

// kindOf is the kind of mold of a pour that may not be in the book.
func (l links) kindOf(p tables.Pour) string {
	kind, _ := l.kindAndForm(l.moldOf[fold(p.Mold)], l.pourOf[fold(p.Pour)])
	return kind
}

// good is the outcome of a pour whose mold can be used.
const good = "good"

// isGood takes a pour without an outcome for a good one: people log trouble.
func isGood(p tables.Pour) bool { return p.Outcome == good || p.Outcome == "" }
