package plan

import (
	"math"
	"sort"

	"moldwright/pipeline/tables"
)

// filled is a cast of the day sheet.
type filled struct {
	day, mold, cast, job int // cast of the mold, from 0 for its next
}

// pastDueDays are the working days of the sheet where every order is past its day.
const pastDueDays = 20

// daySheet plays the plan once as it is expected: every mold makes its middle
// number of casts, new ones from the day on which nine of ten are in service, and
// each order gets as many casts as are enough in nine of ten cases; those beyond
// the expected number are spare.
func (p *planner) daySheet(sc scenario, base outcome) []tables.PlanDay {
	sh := *p.shop
	if sh.caps != nil {
		sh = *sh.paced(p.rhythm.pace.even(len(sh.cal.days)))
	}
	sh.jobs = append([]job{}, p.shop.jobs...)
	last := 0
	for i := range sh.jobs {
		j := &sh.jobs[i]
		j.pieces = reserve(j.pieces, sh.forms[j.form].lost)
		last = max(last, j.due)
	}
	if last == 0 {
		last = pastDueDays
	}
	usual := scenario{shop: &sh, rule: sc.rule, late: true}
	for _, m := range sc.molds {
		usual.molds = append(usual.molds, m.usual(p.mostOf(m.form)))
	}
	var all []filled
	st := &state{}
	st.note = func(t, mold, cast, job int) {
		if t <= last {
			all = append(all, filled{t, mold, cast, job})
		}
	}
	st.run(&usual, 0)
	return p.dayRows(all, sc, base)
}

// usual is the mold with its middle number of casts, all of them good, and ready
// on the day by which nine of ten like it are.
func (m placed) usual(most int) placed {
	life := min(int(math.Round(m.median)), most)
	one := &mold{name: m.name, kind: m.kind, form: m.form, index: m.index, age: m.age, median: m.median, words: (life + 63) / 64}
	one.good = make([]uint64, one.words)
	for i := range one.good {
		one.good[i] = math.MaxUint64
	}
	if m.lead != nil {
		one.lead = []int32{readyWithin([]*mold{m.mold})}
	}
	return placed{mold: one, poured: m.poured, life: []int32{int32(life)}}
}

func (p *planner) dayRows(all []filled, sc scenario, base outcome) []tables.PlanDay {
	made := p.chancesMade(base, sc)
	perJob := make([]int, len(p.shop.jobs))
	ofDay := map[int]int{} // by mold, on the day of its last filling
	lastDay := map[int]int{}
	hours := map[int][]float64{} // of the mold's fillings after the log
	var out []tables.PlanDay
	for _, f := range all {
		m := sc.molds[f.mold]
		jb := &p.shop.jobs[f.job]
		if lastDay[f.mold] != f.day || ofDay[f.mold] == 0 {
			ofDay[f.mold] = 0
		}
		lastDay[f.mold] = f.day
		ofDay[f.mold]++
		perJob[f.job]++
		w := p.wanted[jb.order]
		row := tables.PlanDay{
			Date: p.shop.cal.day(f.day), Mold: m.name, CastNumber: tables.Count(m.age + f.cast + 1), Form: p.shop.forms[m.form].name,
			Order: tables.Count(jb.order + 1), OfDay: tables.Count(ofDay[f.mold]), TargetWallMM: w.targetMM,
			ChanceMade: made(f.mold, f.cast), NewMold: m.poured >= 0,
			Spare: float64(perJob[f.job]) > math.Ceil(float64(jb.pieces)/(1-p.shop.forms[m.form].lost)),
		}
		hour := 24*float64(row.Date) + firstHour
		if n := len(hours[f.mold]); ofDay[f.mold] > 1 && n > 0 {
			hour = hours[f.mold][n-1] + usualDwellHours(p, m.form) + p.rest[m.form].value
		}
		p.dwell(&row, m, f.cast, hours[f.mold], hour)
		hours[f.mold] = append(hours[f.mold], hour)
		out = append(out, row)
	}
	return out
}

// firstHour is when the first mold of a day is filled, for wetness: common
// practice, no source.
const firstHour = 9.0

func usualDwellHours(p *planner, form int) float64 {
	for _, w := range p.wanted {
		if w.form == p.shop.forms[form].name && w.sheet.LongestDwellMin > 0 {
			return w.sheet.LongestDwellMin / 60
		}
	}
	return 0.5
}

// dwell fills in the dwell to use, by the fitted law at that age and wetness, else
// by the dwell guide's nearest age.
func (p *planner) dwell(row *tables.PlanDay, m placed, cast int, before []float64, hour float64) {
	row.DwellMin, row.DwellLower90, row.DwellUpper90 = tables.Absent(), tables.Absent(), tables.Absent()
	if post := p.in.Wall.Posterior; post != nil && row.TargetWallMM > 0 {
		var g tables.DwellGuide
		if m.poured >= 0 {
			g = post.DwellForNew(p.shop.forms[m.form].name, m.kind, cast, post.NewWetness(before, hour), row.TargetWallMM)
		} else {
			g = post.DwellFor(m.index, cast, post.Wetness(m.index, before, hour), row.TargetWallMM)
		}
		row.DwellMin, row.DwellLower90, row.DwellUpper90 = g.DwellMin, g.DwellLower90, g.DwellUpper90
		return
	}
	best := math.MaxInt
	for _, g := range p.in.Wall.Guide {
		if far := abs(int(g.AgeCasts) - m.age - cast); g.Mold == m.name && g.TargetWallMM == row.TargetWallMM && far < best {
			best = far
			row.DwellMin, row.DwellLower90, row.DwellUpper90 = g.DwellMin, g.DwellLower90, g.DwellUpper90
		}
	}
}

func abs(x int) int { return max(x, -x) }

// chancesMade gives the share of draws in which a mold makes its cast k, from 0,
// by the last due day.
func (p *planner) chancesMade(base outcome, sc scenario) func(mold, cast int) float64 {
	sorted := make([][]int32, len(sc.molds))
	for i, m := range base.made {
		sorted[i] = append([]int32{}, m...)
		sort.Slice(sorted[i], func(a, b int) bool { return sorted[i][a] < sorted[i][b] })
	}
	return func(mold, cast int) float64 {
		s := sorted[mold]
		first := sort.Search(len(s), func(i int) bool { return s[i] > int32(cast) })
		return float64(len(s)-first) / float64(len(s))
	}
}
