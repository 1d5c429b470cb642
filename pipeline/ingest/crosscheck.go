package ingest

import (
	"fmt"

	"moldwright/pipeline/tables"
)

// crosscheck compares the rows of all tables with each other: names first, so
// that what follows compares like with like, then rows that stand twice, then
// names that no sheet lists and dates that contradict each other.
func (r *reader) crosscheck() {
	r.joinSpellings()
	r.duplicates()
	r.references()
	r.lives()
	r.slipDates()
	r.ages()
	r.consistencies()
}

// note adds a problem at a declared column of a row.
func (r *reader) note(o tables.Origin, column string, p tables.Problem) {
	r.problems.add(r.accounts.place(o, column), p)
}

// references notes names that are used but stand on no sheet that lists them.
// Where there is no such sheet at all nothing is said. Each name is noted once,
// at its first use, with the number of its uses.
func (r *reader) references() {
	listed := func(d domain) map[string]bool {
		names := map[string]bool{}
		for u := range r.uses(d) {
			if u.lists {
				names[*u.name] = true // spellings are joined
			}
		}
		return names
	}
	domains := []struct {
		domain domain
		code   string
	}{{ofMolds, CodeMoldNotListed}, {ofPours, CodePourNotListed}, {ofSlips, CodeSlipNotListed}, {ofForms, CodeFormNotListed}}
	all, rows := make([][]use, len(domains)), make([][]int, len(domains))
	r.shelves.casts.tallyNames()
	inTurns(len(domains), func(k int) {
		if names := listed(domains[k].domain); len(names) > 0 {
			all[k], rows[k] = r.strangers(domains[k].domain, names)
		}
	})
	for i, d := range domains {
		times := rows[i]
		for k, u := range all[i] {
			r.note(u.at, u.column, tables.Problem{
				Code: d.code, Severity: tables.Notice, Value: *u.name,
				Message: fmt.Sprintf("%s “%s” is used in %s but not listed on the %s sheet; %s", d.domain, shown(*u.name), rowsOf(times[k]), d.domain+"s", unlisted(d.domain)),
				Mend:    fmt.Sprintf("add it to the %ss sheet, or correct the name", d.domain),
			})
		}
	}
}

// strangers are the names of a domain that are not listed, each at its first use with
// the number of rows.
func (r *reader) strangers(d domain, listed map[string]bool) (strangers []use, times []int) {
	first := map[string]int{} // name to index in strangers
	for u := range r.uses(d) {
		key := *u.name
		if u.lists || listed[key] {
			continue
		}
		if k, seen := first[key]; seen {
			times[k] += u.rows
			continue
		}
		first[key] = len(strangers)
		strangers, times = append(strangers, u), append(times, u.rows)
	}
	return strangers, times
}

func rowsOf(n int) string {
	if n == 1 {
		return "1 row"
	}
	return fmt.Sprintf("%d rows", n)
}

func unlisted(d domain) string {
	if d == ofMolds {
		return "its casts and pours are used, with an unknown kind"
	}
	return "the rows are used"
}

// Consistencies, parts of water to 100 of plaster by mass, beyond which a pour
// is questioned. Usual mixes lie between 60 and 90 (common practice, no source);
// plaster and water in each other's column give 110 to 170.
const (
	leastConsistency = 40.0
	mostConsistency  = 105.0
)

// consistencies notes pours whose mix is far from any usual one.
func (r *reader) consistencies() {
	for _, p := range r.shelves.pours.all {
		c := 100 * p.WaterKg / p.PlasterKg
		if !(c < leastConsistency || c > mostConsistency) {
			continue
		}
		r.note(p.Origin, "water", tables.Problem{
			Code: CodeOddConsistency, Severity: tables.Notice, Value: brief(p.WaterKg) + " kg",
			Message: fmt.Sprintf("%s kg of water to %s kg of plaster are %s parts to 100, far from the usual 60 to 90; the pour is used", brief(p.WaterKg), brief(p.PlasterKg), fmt.Sprintf("%.0f", c)),
			Mend:    "check the units, and that water and plaster are not in each other's column",
		})
	}
}
