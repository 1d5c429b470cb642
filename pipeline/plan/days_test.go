package plan

import (
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/fixtures/invented"
	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// What is usual for a form is told by a part of a large log, what the studio casts in
// a day by all of it.
func TestPaceOfALargeLogIsThatOfAllItsCasts(t *testing.T) {
	log, _ := invented.Log(2*mostForRhythm, 36)
	r := learnRhythm(log, Rhythm{})
	byDay := map[tables.Date]int32{}
	for _, c := range log.Casts {
		byDay[c.Date]++
	}
	last := tables.NoDate
	for d := range byDay {
		last = max(last, d)
	}
	require.NotEmpty(t, r.pace.days)
	for last.Time().Weekday() != r.week[len(r.week)-1] {
		last--
	}
	require.Contains(t, r.pace.days[len(r.pace.days)-7:], byDay[last])
	require.Greater(t, r.pace.mean(), 0.5*r.limit.value, "the mean day is not so far below a busy one")
}

func TestDaysAreCountedInAnyOrder(t *testing.T) {
	var log history.Log
	at := func(day tables.Date, minute float32, dwell float64) history.Cast {
		return history.Cast{Date: day, TimeMin: minute, DwellMin: dwell}
	}
	log.Casts = []history.Cast{at(200, 600, 20), at(200, 500, 10), at(100, 400, 30), at(tables.NoDate, 1, 1), at(200, 650, 5)}
	log.Molds = []history.Mold{{First: 0, Last: 2}, {First: 2, Last: 4}, {First: 4, Last: 5}}
	d := daysOf(log)
	require.Equal(t, tables.Date(100), d.first)
	require.Len(t, d.use, 101)
	require.Equal(t, 2, d.some())
	require.Equal(t, dayUse{casts: 3, from: 500, to: 655}, d.use[100])
	require.Equal(t, dayUse{casts: 1, from: 400, to: 430}, d.use[0])
}
