package plan

import (
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// making is what the log tells of making molds.
type making struct {
	lead     []int // days from pour to service, as seen or as common practice has it
	leadSeen int   // molds that told
	aDay     int   // molds poured in a day at most
	aDayBy   string
	pours    pourRecord
	retries  retries
	links    pourLinks
	needed   map[string]float64 // see need
}

// Days from pour to service: common practice, no source (drying takes 2 to 7 days).
const (
	leadLow, leadHigh = 2, 7
	longestLead       = 60 // a mold that stood longer was not wanted, not wet
	leastLeads        = 3
)

func learnMaking(in Input, set Making) making {
	links := linkPours(in.Studio, in.Log)
	m := making{pours: links.record(in.Log), retries: links.retries(), links: links}
	m.lead = links.leads(in.Log)
	m.leadSeen = len(m.lead)
	switch {
	case set.LeadDays > 0:
		m.lead = []int{set.LeadDays}
	case m.leadSeen < leastLeads:
		m.leadSeen = 0
		m.lead = nil
		for d := leadLow; d <= leadHigh; d++ {
			m.lead = append(m.lead, d)
		}
	}
	m.aDay, m.aDayBy = set.PoursPerDay, "set"
	if m.aDay <= 0 {
		m.aDay, m.aDayBy = links.poursADay()
	}
	return m
}

// pour is what a plan asks of one.
type pour struct {
	name               string
	date               tables.Date
	plasterKg, waterKg float64
}

// pourLinks joins molds with the pours that made them or were to make them.
type pourLinks struct {
	pours  []pour
	mold   []int            // of each pour, index in the log's molds; −1 where it is not known
	ofForm map[string][]int // pours whose mold is known, by its folded form
	made   []bool
	first  []tables.Date // by mold: day of its first pour
	count  []int         // by mold: good pours that name it
	inServ []tables.Date // by mold: day from which it was in service
}

func linkPours(studio tables.Studio, log history.Log) pourLinks {
	l := pourLinks{first: make([]tables.Date, len(log.Molds)), count: make([]int, len(log.Molds)), inServ: make([]tables.Date, len(log.Molds))}
	byName, byPour := make(map[string]int, len(log.Molds)), map[string]int{}
	for i, m := range log.Molds {
		byName[history.Fold(m.Mold)] = i
		l.first[i], l.inServ[i] = tables.NoDate, tables.NoDate
		if m.Last > m.First && m.BeforeLog == 0 {
			l.inServ[i] = log.Casts[m.First].Date
		}
	}
	of := func(name string) int {
		if i, ok := byName[history.Fold(name)]; ok && name != "" {
			return i
		}
		return -1
	}
	molds, moldAt := studio.Molds.NamesAt("mold")
	poured, pouredAt := studio.Molds.NamesAt("pour")
	inService, listed := studio.Molds.DateAt("in_service"), eachName(molds, of)
	for row := range studio.Molds.Len() {
		i := listed[moldAt(row)]
		if i < 0 {
			continue
		}
		if day := inService(row); day.Valid() {
			l.inServ[i] = day
		}
		if name := poured[pouredAt(row)]; name != "" {
			byPour[history.Fold(name)] = i
		}
	}
	l.readPours(studio, log, of, byPour)
	for i := range l.pours {
		if m := l.mold[i]; m >= 0 && !l.made[i] && l.count[m] == 0 && log.Molds[m].Age > 0 {
			l.made[i] = true // a pour that did not go well and whose mold is used all the same
		}
	}
	l.ofForm = l.byForm(log)
	return l
}

// readPours joins the pours with the molds that they name, else with those that name
// them.
func (l *pourLinks) readPours(studio tables.Studio, log history.Log, of func(mold string) int, byPour map[string]int) {
	names, nameAt := studio.Pours.NamesAt("pour")
	molds, moldAt := studio.Pours.NamesAt("mold")
	ends, endAt := studio.Pours.NamesAt("outcome")
	date, plasterKg, waterKg := studio.Pours.DateAt("date"), studio.Pours.NumberAt("plaster"), studio.Pours.NumberAt("water")
	named := eachName(molds, of)
	for row := range studio.Pours.Len() {
		p := pour{name: names[nameAt(row)], date: date(row), plasterKg: plasterKg(row), waterKg: waterKg(row)}
		if log.AsOf.Valid() && p.date > log.AsOf {
			continue
		}
		i := named[moldAt(row)]
		if i < 0 {
			var ok bool
			if i, ok = byPour[history.Fold(p.name)]; !ok {
				i = -1
			}
		}
		end := ends[endAt(row)]
		good := end == "good" || end == ""
		l.pours, l.mold, l.made = append(l.pours, p), append(l.mold, i), append(l.made, good)
		if i >= 0 && good {
			l.count[i]++
			if !l.first[i].Valid() || p.date > l.first[i] {
				l.first[i] = p.date // the last part decides when it can dry
			}
		}
	}
}

// eachName gives what belongs to each of the different names of a column.
func eachName(names []string, of func(name string) int) []int {
	out := make([]int, len(names))
	for i, name := range names {
		out[i] = of(name)
	}
	return out
}

// byForm lists the pours of each form's molds.
func (l *pourLinks) byForm(log history.Log) map[string][]int {
	out := map[string][]int{}
	folded := map[string]string{} // of each spelling
	for i, m := range l.mold {
		if m < 0 {
			continue
		}
		form, ok := folded[log.Molds[m].Form]
		if !ok {
			form = history.Fold(log.Molds[m].Form)
			folded[log.Molds[m].Form] = form
		}
		out[form] = append(out[form], i)
	}
	return out
}

// leads are the days from pour to service of the log's molds, ascending.
func (l *pourLinks) leads(log history.Log) []int {
	var out []int
	for i := range log.Molds {
		if !l.first[i].Valid() || !l.inServ[i].Valid() {
			continue
		}
		if d := int(l.inServ[i] - l.first[i]); d >= 1 && d <= longestLead {
			out = append(out, d)
		}
	}
	slices.Sort(out)
	return out
}

// poursADay is how many pours a busy day of pouring has.
func (l *pourLinks) poursADay() (int, string) {
	byDay := map[tables.Date]int{}
	for _, p := range l.pours {
		byDay[p.date]++
	}
	if len(byDay) < 5 {
		return 2, "common practice, no source"
	}
	var counts []int
	for _, n := range byDay {
		counts = append(counts, n)
	}
	slices.Sort(counts)
	return max(1, counts[min(len(counts)-1, len(counts)*9/10)]), "the log (a busy day of pouring)"
}

// pourRecord counts pours by kind; "" holds those of unknown kind as well.
type pourRecord struct {
	pours, failed map[string]int
	parts         map[string]int // good pours that a mold of the kind takes
}

// Before a log is read one pour in ten fails, worth so many pours; a kind leans on
// all pours with the same weight. Common practice, no source.
const (
	failShare  = 0.1
	failWeight = 8.0
)

// belief is the beta law of the chance that a pour for that kind fails.
func (r pourRecord) belief(kind string) (a, b float64) {
	all := (failWeight*failShare + float64(r.failed[allKinds])) / (failWeight + float64(r.pours[allKinds]))
	a = failWeight*all + float64(r.failed[kind])
	b = failWeight*(1-all) + float64(r.pours[kind]-r.failed[kind])
	return a, b
}

const allKinds = "all"

func (l *pourLinks) record(log history.Log) pourRecord {
	r := pourRecord{pours: map[string]int{}, failed: map[string]int{}, parts: map[string]int{}}
	for i := range l.pours {
		kinds := []string{allKinds}
		if m := l.mold[i]; m >= 0 {
			kinds = append(kinds, log.Molds[m].Kind)
		}
		for _, k := range kinds {
			r.pours[k]++
			if !l.made[i] {
				r.failed[k]++
			}
		}
	}
	took := map[string][]float64{}
	for i, m := range log.Molds {
		if l.count[i] > 0 {
			took[m.Kind] = append(took[m.Kind], float64(l.count[i]))
		}
	}
	for k, counts := range took {
		r.parts[k] = int(median(counts))
	}
	return r
}

// partsOf is the pours that a mold of the kind takes; 1 where the log does not tell.
func (r pourRecord) partsOf(kind string) int { return max(1, r.parts[kind]) }

func median(x []float64) float64 {
	if len(x) == 0 {
		return tables.Absent()
	}
	x = slices.Clone(x)
	slices.Sort(x)
	return x[len(x)/2]
}
