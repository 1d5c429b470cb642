package plan

import (
	"math"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/chunks"
	"moldwright/pipeline/tables"
)

// days are what a log tells of each day from the first with a cast to the last.
type days struct {
	first tables.Date
	use   []dayUse
}

// dayUse is what was cast on a day.
type dayUse struct {
	casts    int32
	from, to float64 // minutes of the first cast and of the end of the last; from > to where no time was logged
}

func unused() dayUse { return dayUse{from: math.Inf(1), to: math.Inf(-1)} }

func (u *dayUse) add(v dayUse) {
	u.casts += v.casts
	u.from, u.to = min(u.from, v.from), max(u.to, v.to)
}

// on is the day, the days that are kept being lengthened to it.
func (d *days) on(day tables.Date) *dayUse {
	if len(d.use) == 0 {
		d.first = day
	}
	if before := int(d.first - day); before > 0 {
		longer := make([]dayUse, before, before+len(d.use))
		for i := range longer {
			longer[i] = unused()
		}
		d.first, d.use = day, append(longer, d.use...)
	}
	for int(day-d.first) >= len(d.use) {
		d.use = append(d.use, unused())
	}
	return &d.use[day-d.first]
}

// some is how many days have casts.
func (d *days) some() int {
	n := 0
	for i := range d.use {
		if d.use[i].casts > 0 {
			n++
		}
	}
	return n
}

// dayParts is into how many parts the molds of a log are cut whose days are counted
// on several cores; counts and limits do not depend on it.
const dayParts = 8

// daysOf counts the casts of each day, those without a date left out.
func daysOf(log history.Log) days {
	size := max(256, chunks.Count(len(log.Molds), dayParts))
	parts := make([]days, chunks.Count(len(log.Molds), size))
	chunks.Each(len(log.Molds), size, func(chunk, from, to int) {
		for _, m := range log.Molds[from:to] {
			parts[chunk].count(log.Casts[m.First:m.Last])
		}
	})
	var all days
	for _, p := range parts {
		for i, u := range p.use {
			if u.casts > 0 {
				all.on(p.first + tables.Date(i)).add(u)
			}
		}
	}
	return all
}

// count adds the casts of one mold. Those of a day stand together.
func (d *days) count(casts []history.Cast) {
	for from := 0; from < len(casts); {
		day, to := casts[from].Date, from
		u := unused()
		for ; to < len(casts) && casts[to].Date == day; to++ {
			c := &casts[to]
			u.casts++
			if minute := c.Minute(); tables.Has(minute) {
				end := minute
				if c.DwellMin > 0 {
					end += c.DwellMin
				}
				u.from, u.to = min(u.from, minute), max(u.to, end)
			}
		}
		if day.Valid() {
			d.on(day).add(u)
		}
		from = to
	}
}
