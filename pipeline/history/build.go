package history

import (
	"cmp"
	"runtime"
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
	dates := s.Casts.DatesFrom("date")
	var days [atOnce]tables.Date
	for from := 0; from < s.Casts.Len(); from += atOnce {
		some := days[:min(atOnce, s.Casts.Len()-from)]
		dates(from, some)
		last = max(last, slices.Max(some))
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
	names, mold := b.studio.Casts.NamesFrom("mold")
	forms, form := b.studio.Casts.NamesAt("form")
	place := make([]int, len(names)) // in out, plus 2; 1 for the listed
	var room [atOnce]uint32
	for i := range b.studio.Casts.Len() {
		if i%atOnce == 0 {
			mold(i, room[:min(atOnce, b.studio.Casts.Len()-i)])
		}
		name := room[i%atOnce]
		if place[name] == 1 {
			continue
		}
		if place[name] == 0 {
			key := Fold(names[name])
			if place[name] = 1; names[name] == "" || listed[key] {
				continue
			}
			k, seen := index[key]
			if !seen {
				k = len(out)
				index[key] = k
				out = append(out, Mold{Mold: names[name], Kind: UnknownKind, Status: StatusInUse, EndedOn: tables.NoDate})
			}
			place[name] = k + 2
		}
		if m := &out[place[name]-2]; m.Form == "" && forms[form(i)] != "" {
			m.Form = forms[form(i)]
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

// order orders the casts of each mold by day and time, keeping the log's own
// order where a day has casts without a time, and counts the ages.
func (b *builder) order(casts []Cast) {
	b.log.Casts = casts
	shares := make([]collection, 1)
	if len(casts) >= collectRows {
		shares = make([]collection, runtime.GOMAXPROCS(0))
	}
	age := b.studio.Casts.CountAt("age")
	if b.studio.Casts.Absent("age") {
		age = nil
	}
	n := len(b.log.Molds)
	each(shares, func(k int, _ *collection) {
		for m := n * k / len(shares); m < n*(k+1)/len(shares); m++ {
			inTime(casts[b.log.Molds[m].First:b.log.Molds[m].Last])
			b.countAges(m, age)
		}
	})
}

// inTime orders the casts of one mold. Most logs are in order already.
func inTime(casts []Cast) {
	byDate := func(x, y Cast) int { return cmp.Compare(x.Date, y.Date) }
	if !slices.IsSortedFunc(casts, byDate) {
		slices.SortStableFunc(casts, byDate)
	}
	byTime := func(x, y Cast) int { return cmp.Compare(x.TimeMin, y.TimeMin) }
	for from := 0; from < len(casts); {
		to := from
		timed := true
		for to < len(casts) && casts[to].Date == casts[from].Date {
			timed = timed && tables.Has(casts[to].Minute())
			to++
		}
		if day := casts[from:to]; timed && !slices.IsSortedFunc(day, byTime) {
			slices.SortStableFunc(day, byTime)
		}
		from = to
	}
}

// countAges counts the casts of a mold. One whose sheet does not say how
// many casts it had made before the log begins takes that from the first of its
// casts with which an age was written; age is nil where none was.
func (b *builder) countAges(m int, age func(row int) tables.Count) {
	mold := &b.log.Molds[m]
	casts := b.log.Casts[mold.First:mold.Last]
	if age != nil && !b.told[Fold(mold.Mold)] {
		for k := range casts {
			if written := age(int(casts[k].Row)); written != tables.NoCount {
				mold.BeforeLog = max(0, int(written)-k)
				break
			}
		}
	}
	for k := range casts {
		casts[k].Age = int32(mold.BeforeLog + k)
	}
	mold.Age = mold.BeforeLog + len(casts)
}
