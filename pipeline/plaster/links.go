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
	inUse      bool
	casts      int // made so far, those before the log included
	goodCasts  int // in the log
}

// links tells which molds came from which pour.
type links struct {
	molds  map[string]moldFacts // by folded mold name
	byPour map[string][]string  // folded pour name to folded names of the molds that it made
}

// linkMolds joins pours and molds. A mold belongs to the pour that the molds
// table names for it. Where none is named it belongs to the last good pour that
// names the mold, or else to the last pour that does: a mold that failed and was
// poured again came from the second pour.
func linkMolds(s tables.Studio, log history.Log, pours []tables.Pour) links {
	l := links{molds: factsOf(s, log), byPour: map[string][]string{}}
	named := map[string]bool{}
	for _, m := range s.Molds.Rows() {
		if m.Pour != "" && !named[fold(m.Mold)] {
			named[fold(m.Mold)] = true
			l.byPour[fold(m.Pour)] = append(l.byPour[fold(m.Pour)], fold(m.Mold))
		}
	}
	maker := map[string]tables.Pour{}
	var order []string // of first mention
	for _, p := range pours {
		mold := fold(p.Mold)
		if mold == "" || named[mold] {
			continue
		}
		before, seen := maker[mold]
		if !seen {
			order = append(order, mold)
		}
		if !seen || isGood(p) || !isGood(before) {
			maker[mold] = p
		}
	}
	for _, mold := range order {
		pour := fold(maker[mold].Pour)
		l.byPour[pour] = append(l.byPour[pour], mold)
	}
	return l
}

func factsOf(s tables.Studio, log history.Log) map[string]moldFacts {
	facts := map[string]moldFacts{}
	for _, m := range log.Molds {
		f := moldFacts{name: m.Mold, form: m.Form, kind: m.Kind, inUse: m.InUse(), casts: m.Age}
		for _, c := range log.Casts[m.First:m.Last] {
			if c.Result == history.Good {
				f.goodCasts++
			}
		}
		facts[fold(m.Mold)] = f
	}
	return facts
}

// made reports whether a mold that can be used, or was used, came from the pour.
func (l links) made(p tables.Pour) bool {
	for _, mold := range l.byPour[fold(p.Pour)] {
		if f, listed := l.molds[mold]; listed && (f.inUse || f.casts > 0) {
			return true
		}
	}
	return false
}

// kindAndForm of the mold that the pour made or was to make, "" where unknown.
func (l links) kindAndForm(p tables.Pour) (kind, form string) {
	names := append([]string{fold(p.Mold)}, l.byPour[fold(p.Pour)]...)
	for _, name := range names {
		if f, ok := l.molds[name]; ok {
			return f.kind, f.form
		}
	}
	return "", ""
}

// good is the outcome of a pour whose mold can be used.
const good = "good"

// isGood takes a pour without an outcome for a good one: people log trouble.
func isGood(p tables.Pour) bool { return p.Outcome == good || p.Outcome == "" }
