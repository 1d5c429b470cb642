package wall

import (
	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// slipDays names the slip of casts of a large log that were logged without one:
// that which a cast of the same form got on the nearest day, the earlier of two.
// (Small logs look at hours, see nearestSlips.)
type slipDays struct {
	from   tables.Date
	byForm map[string][]int32 // by form and day since from, the place of a batch in the log; 0 for none
}

// mostDays bounds the days looked at: a date may be mistyped by centuries.
const mostDays = 100 * 366

// daysOfSlips is nil where no cast is without a slip, or none has one.
func daysOfSlips(log history.Log) *slipDays {
	d := &slipDays{byForm: map[string][]int32{}}
	missing, last := 0, tables.NoDate
	for i := range log.Casts {
		c := &log.Casts[i]
		if c.Slip.Place() == 0 {
			missing++
			continue
		}
		if last == tables.NoDate {
			d.from, last = c.Date, c.Date
		}
		d.from, last = min(d.from, c.Date), max(last, c.Date)
	}
	if missing == 0 || last == tables.NoDate {
		return nil
	}
	d.from = max(d.from, last-mostDays)
	days := int(last-d.from) + 1
	for _, m := range log.Molds {
		form := orUnknown(m.Form)
		for _, c := range log.Casts[m.First:m.Last] {
			if c.Slip.Place() == 0 || c.Date < d.from {
				continue
			}
			if d.byForm[form] == nil {
				d.byForm[form] = make([]int32, days)
			}
			if at := &d.byForm[form][c.Date-d.from]; *at == 0 {
				*at = int32(c.Slip.Place())
			}
		}
	}
	for _, slips := range d.byForm {
		fillDays(slips)
	}
	return d
}

// fillDays gives days without a slip that of the nearest day with one.
func fillDays(slips []int32) {
	const far = 1 << 30
	before, after := make([]int, len(slips)), make([]int, len(slips))
	gap := far
	for i := range slips {
		if gap++; slips[i] != 0 {
			gap = 0
		}
		before[i] = gap
	}
	gap = far
	for i := len(slips) - 1; i >= 0; i-- {
		if gap++; slips[i] != 0 {
			gap = 0
		}
		after[i] = gap
	}
	logged := append([]int32(nil), slips...)
	for i := range slips {
		switch {
		case logged[i] != 0:
		case before[i] <= after[i] && before[i] < far:
			slips[i] = logged[i-before[i]]
		case after[i] < far:
			slips[i] = logged[i+after[i]]
		}
	}
}

// of is the place of the batch that a cast of the form got nearest to a day, 0
// where the form has none.
func (d *slipDays) of(form string, day tables.Date) int {
	slips := d.byForm[form]
	if len(slips) == 0 {
		return 0
	}
	return int(slips[min(max(0, int(day-d.from)), len(slips)-1)])
}
