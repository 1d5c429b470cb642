package plan

import (
	"math"
	"slices"
	"strings"
	"time"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// Bases of a figure.
const (
	bySet      = "set"
	byForm     = "the form"
	byLog      = "the log"
	byPractice = "common practice, no source"
)

// figure is a number with where it comes from.
type figure struct {
	value float64
	by    string
}

// rhythm is how the studio casts, as set, by the forms, or as its log shows.
type rhythm struct {
	week   []time.Weekday
	weekBy string
	hours  figure // of a working day
	limit  figure // casts of a busy day of all molds; 0: none
	pace   pace   // casts of the working days; empty where the casts of a day are set, or the log is short
	log    logRhythm
	set    Rhythm
}

// logRhythm is what the log shows by itself.
type logRhythm struct {
	days    int                // days with casts
	perMold map[string]float64 // by folded form: casts of a mold on a busy day
	rest    map[string]float64 // by folded form: h between draining and filling again
	restAny float64
	dwell   map[string]float64 // by folded form: usual dwell, min
}

const (
	leastDays    = 10   // days of casting below which the log shows no rhythm
	weekdayShare = 0.25 // of the busiest weekday's casting days that make a weekday a working day
	usualHours   = 8.0
	usualRest    = 1.0
	usualPerDay  = 2.0
	busy         = 0.9 // a busy day is one that nine of ten do not exceed
	brief        = 0.1 // rests are as short as one in ten
)

// mostForRhythm is how many casts tell what is usual for a form: of a larger log,
// whole molds with about so many. What the studio casts in a day is told by all.
const mostForRhythm = 200_000

func learnRhythm(whole history.Log, set Rhythm) rhythm {
	r := rhythm{set: set, log: logRhythm{perMold: map[string]float64{}, rest: map[string]float64{}, dwell: map[string]float64{}, restAny: tables.Absent()}}
	days := daysOf(whole)
	log, _ := whole.Learning(mostForRhythm)
	perMold, rests, dwells := map[string][]float64{}, map[string][]float64{}, map[string][]float64{}
	for _, m := range log.Molds {
		form := history.Fold(m.Form)
		casts, gaps, dwelt := perMold[form], rests[form], dwells[form]
		today := 0.0
		for i := m.First; i < m.Last; i++ {
			c := &log.Casts[i]
			if c.DwellMin > 0 {
				dwelt = append(dwelt, c.DwellMin)
			}
			if today++; i+1 < m.Last && log.Casts[i+1].Date == c.Date {
				if gap := (log.Casts[i+1].Minute() - c.Minute() - c.DwellMin) / 60; gap >= 0 {
					gaps = append(gaps, gap)
				}
				continue
			}
			casts = append(casts, today)
			today = 0
		}
		perMold[form], rests[form], dwells[form] = casts, gaps, dwelt
	}
	r.log.days = days.some()
	var every []float64
	for form, x := range rests {
		every = append(every, x...)
		if len(x) >= leastDays {
			r.log.rest[form] = quantile(x, brief)
		}
	}
	if len(every) >= leastDays {
		r.log.restAny = quantile(every, brief)
	}
	for form, x := range perMold {
		if len(x) >= leastDays {
			r.log.perMold[form] = quantile(x, busy)
		}
	}
	for form, x := range dwells {
		if len(x) > 0 {
			r.log.dwell[form] = median(x)
		}
	}
	r.setWeek(days)
	r.setHours(days)
	r.setLimit(days)
	if r.limit.by == byLog {
		r.pace = learnPace(days, r.week)
	}
	return r
}

func (r *rhythm) setWeek(days days) {
	r.week, r.weekBy = r.set.WorkDays, bySet
	if len(r.week) > 0 {
		return
	}
	r.week, r.weekBy = []time.Weekday{time.Monday, time.Tuesday, time.Wednesday, time.Thursday, time.Friday}, byPractice
	if r.log.days < leastDays {
		return
	}
	var counts [7]float64
	for i := range days.use {
		if d := days.first + tables.Date(i); days.use[i].casts > 0 {
			counts[d.Time().Weekday()]++
		}
	}
	most := slices.Max(counts[:])
	r.week, r.weekBy = nil, byLog
	for wd, n := range counts {
		if n >= weekdayShare*most {
			r.week = append(r.week, time.Weekday(wd))
		}
	}
}

func (r *rhythm) setHours(days days) {
	var hours []float64
	for _, d := range days.use {
		if d.casts > 0 && d.from <= d.to {
			hours = append(hours, (d.to-d.from)/60)
		}
	}
	switch {
	case r.set.WorkHours > 0:
		r.hours = figure{r.set.WorkHours, bySet}
	case len(hours) >= leastDays:
		r.hours = figure{max(1, quantile(hours, busy)), byLog}
	default:
		r.hours = figure{usualHours, byPractice}
	}
}

func (r *rhythm) setLimit(days days) {
	var counts []float64
	for _, d := range days.use {
		if d.casts > 0 {
			counts = append(counts, float64(d.casts))
		}
	}
	switch {
	case r.set.StudioCasts > 0:
		r.limit = figure{float64(r.set.StudioCasts), bySet}
	case len(counts) >= leastDays:
		r.limit = figure{quantile(counts, busy), byLog}
	default:
		r.limit = figure{0, "not known: as many as there are molds"}
	}
}

// perDay is how many casts one mold of a form makes in a day, and restHours the
// rest between two: no more than the working day has room for.
func (r *rhythm) perDay(f tables.Form, dwellMin float64) (casts, restHours figure) {
	form := history.Fold(f.Form)
	switch {
	case r.set.RestHours >= 0:
		restHours = figure{r.set.RestHours, bySet}
	case f.RestHours >= 0:
		restHours = figure{f.RestHours, byForm}
	case tables.Has(r.logRest(form)):
		restHours = figure{r.logRest(form), byLog}
	default:
		restHours = figure{usualRest, byPractice}
	}
	seen := r.log.perMold[form]
	switch {
	case r.set.CastsPerDay >= 1:
		return figure{math.Floor(r.set.CastsPerDay), bySet}, restHours
	case f.CastsPerDay >= 1:
		casts = figure{math.Floor(f.CastsPerDay), byForm}
	case seen > 0:
		casts = figure{seen, byLog}
	default:
		casts = figure{usualPerDay, byPractice}
	}
	if dwellMin > 0 {
		if room := math.Floor((r.hours.value + restHours.value) / (dwellMin/60 + restHours.value)); room < casts.value {
			casts = figure{max(1, room), casts.by + ", cut to what the working day has room for"}
		}
	}
	return casts, restHours
}

func (r *rhythm) logRest(form string) float64 {
	if x, ok := r.log.rest[form]; ok {
		return x
	}
	return r.log.restAny
}

// weekWords lists the working days.
func (r *rhythm) weekWords() string {
	var names []string
	for _, d := range r.week {
		names = append(names, d.String())
	}
	return strings.Join(names, ", ")
}

// quantile is the smallest value that a share p of the sample does not exceed.
func quantile(x []float64, p float64) float64 {
	x = slices.Clone(x)
	slices.Sort(x)
	return x[min(len(x)-1, int(p*float64(len(x))))]
}
