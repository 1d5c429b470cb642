package history

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"moldwright/pipeline/tables"
)

// Build orders the casts of a studio and counts ages. A mold that is cast on
// but not listed gets an entry of unknown kind. AsOf is the given day, or the
// last day of any cast, pour or mold's end where it is NoDate; casts after it are left out
// and told in the problems.
func Build(s tables.Studio, asOf tables.Date) (Log, []tables.Problem) {
	b := builder{studio: s, index: map[string]int{}, told: map[string]bool{}, forms: formsByName(s)}
	b.log.AsOf = asOf
	if !asOf.Valid() {
		b.log.AsOf = lastDay(s)
	}
	b.listMolds()
	casts := b.collect()
	b.order(casts)
	return b.log, b.problems
}

type builder struct {
	studio   tables.Studio
	log      Log
	index    map[string]int // mold name to index in log.Molds
	forms    map[string]tables.Form
	ages     []tables.Count  // as written with each row of the casts table
	told     map[string]bool // molds whose sheet says how many casts they had made before the log
	problems []tables.Problem
}

// Fold makes names of molds, forms and slips comparable: case and surrounding
// space don't count.
func Fold(name string) string { return strings.ToLower(strings.TrimSpace(name)) }

func formsByName(s tables.Studio) map[string]tables.Form {
	forms := map[string]tables.Form{}
	for _, f := range s.Forms.Rows() {
		if _, seen := forms[Fold(f.Form)]; !seen {
			forms[Fold(f.Form)] = f
		}
	}
	return forms
}

func lastDay(s tables.Studio) tables.Date {
	last := tables.NoDate
	for _, d := range s.Casts.Dates("date") {
		last = max(last, d)
	}
	for _, d := range s.Pours.Dates("date") {
		last = max(last, d)
	}
	for _, d := range s.Molds.Dates("ended_on") {
		last = max(last, d)
	}
	return last
}

// listMolds enters the molds of the molds table and those seen in casts only,
// sorted by name so that results don't depend on the order of files.
func (b *builder) listMolds() {
	seen := map[string]bool{}
	for _, m := range b.studio.Molds.Rows() {
		if seen[Fold(m.Mold)] {
			continue
		}
		seen[Fold(m.Mold)] = true
		b.log.Molds = append(b.log.Molds, b.entry(m))
	}
	b.log.Molds = append(b.log.Molds, b.moldsOfCasts(seen)...)
	slices.SortFunc(b.log.Molds, func(x, y Mold) int {
		return cmp.Or(natural(x.Mold, y.Mold), cmp.Compare(x.Mold, y.Mold))
	})
	for i, m := range b.log.Molds {
		b.index[Fold(m.Mold)] = i
	}
}

// moldsOfCasts are the molds that no molds sheet lists, with the form that was
// first written with one of their casts.
func (b *builder) moldsOfCasts(listed map[string]bool) []Mold {
	var out []Mold
	index := map[string]int{}
	forms := b.studio.Casts.Texts("form")
	for i, name := range b.studio.Casts.Texts("mold") {
		if name == "" || listed[Fold(name)] {
			continue
		}
		k, seen := index[Fold(name)]
		if !seen {
			k = len(out)
			index[Fold(name)] = k
			out = append(out, Mold{Mold: name, Kind: UnknownKind, Status: StatusInUse, EndedOn: tables.NoDate})
		}
		if m := &out[k]; m.Form == "" && forms[i] != "" {
			m.Form = forms[i]
			if f, ok := b.forms[Fold(m.Form)]; ok {
				m.Form = f.Form
			}
		}
	}
	return out
}

func (b *builder) entry(m tables.Mold) Mold {
	out := Mold{
		Mold: m.Mold, Form: m.Form, Kind: cmp.Or(m.Kind, UnknownKind), Status: m.Status,
		EndReason: m.EndReason, EndedOn: m.EndedOn,
	}
	if f, ok := b.forms[Fold(m.Form)]; ok {
		out.Form = f.Form // one spelling for a form wherever it is shown
	}
	if m.CastsBeforeLog != tables.NoCount {
		out.BeforeLog = int(m.CastsBeforeLog)
		b.told[Fold(m.Mold)] = true
	}
	ended := m.EndedOn.Valid() || m.EndReason != ""
	switch {
	case out.Status == "" && ended:
		out.Status = StatusRetired
	case out.Status == "":
		out.Status = StatusInUse
	}
	// An end that lies after the day the report speaks of has not happened yet.
	if m.EndedOn.Valid() && b.log.AsOf.Valid() && m.EndedOn > b.log.AsOf {
		out.Status, out.EndReason, out.EndedOn = StatusInUse, "", tables.NoDate
	}
	return out
}

// collect turns the casts table into casts with a mold and a wet wall.
func (b *builder) collect() []Cast {
	late := 0
	var casts []Cast
	slip := b.slipNumbers()
	for i, c := range b.studio.Casts.Rows() {
		b.ages = append(b.ages, c.Age)
		if b.log.AsOf.Valid() && c.Date > b.log.AsOf {
			late++
			continue
		}
		m := b.index[Fold(c.Mold)]
		casts = append(casts, Cast{
			Row: int32(i), Mold: int32(m), Date: c.Date, TimeMin: float32(c.TimeMin), DwellMin: c.DwellMin,
			WallMM: b.wetWall(c, b.log.Molds[m].Form), Slip: slip(c.Slip), Result: ResultOf(c.Result),
		})
	}
	if late > 0 {
		b.problems = append(b.problems, tables.Problem{
			Code: "after-as-of", Severity: tables.Notice, Value: b.log.AsOf.String(),
			Message: fmt.Sprintf("%d casts are dated after the day this report speaks of and are left out", late),
			Mend:    "choose a later --as-of, or none",
		})
	}
	return casts
}

// slipNumbers enters batches of slip in the log as they are met.
func (b *builder) slipNumbers() func(name string) SlipNumber {
	b.log.Slips = []string{""}
	seen := map[string]SlipNumber{"": {}}
	return func(name string) SlipNumber {
		n, ok := seen[name]
		if !ok {
			n = NumberOfSlip(len(b.log.Slips))
			seen[name] = n
			b.log.Slips = append(b.log.Slips, name)
		}
		return n
	}
}

// order sorts the casts by mold, day and time, keeping the log's own order
// where a day has casts without a time, and counts the ages.
func (b *builder) order(casts []Cast) {
	slices.SortStableFunc(casts, func(x, y Cast) int {
		return cmp.Or(cmp.Compare(x.Mold, y.Mold), cmp.Compare(x.Date, y.Date))
	})
	for from := 0; from < len(casts); {
		to := from
		timed := true
		for to < len(casts) && casts[to].Mold == casts[from].Mold && casts[to].Date == casts[from].Date {
			timed = timed && tables.Has(casts[to].Minute())
			to++
		}
		if timed {
			slices.SortStableFunc(casts[from:to], func(x, y Cast) int { return cmp.Compare(x.TimeMin, y.TimeMin) })
		}
		from = to
	}
	b.countAges(casts)
	b.log.Casts = casts
}

// countAges counts the casts of each mold. A mold whose sheet does not say how
// many casts it had made before the log begins takes that from the first of its
// casts with which an age was written.
func (b *builder) countAges(casts []Cast) {
	next := 0
	for m := range b.log.Molds {
		mold := &b.log.Molds[m]
		mold.First = next
		for k := next; k < len(casts) && int(casts[k].Mold) == m && !b.told[Fold(mold.Mold)]; k++ {
			if age := b.ages[casts[k].Row]; age != tables.NoCount {
				mold.BeforeLog = max(0, int(age)-(k-next))
				break
			}
		}
		for next < len(casts) && int(casts[next].Mold) == m {
			casts[next].Age = int32(mold.BeforeLog + next - mold.First)
			next++
		}
		mold.Last = next
		mold.Age = mold.BeforeLog + mold.Last - mold.First
	}
}
