package plan

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// loggedDays are those of a log with so many casts on each weekday from a Monday on.
func loggedDays(casts []int) days {
	var log history.Log
	d := tables.MakeDate(2025, time.January, 6)
	for _, n := range casts {
		for d.Time().Weekday() == time.Saturday || d.Time().Weekday() == time.Sunday {
			d++
		}
		for range n {
			log.Casts = append(log.Casts, history.Cast{Date: d})
		}
		d++
	}
	log.Molds = []history.Mold{{Last: len(log.Casts)}}
	return daysOf(log)
}

var weekdays = []time.Weekday{time.Monday, time.Tuesday, time.Wednesday, time.Thursday, time.Friday}

// Two idle weeks among days of which a quarter have no cast come by chance in
// 0.25¹⁰: holidays. A day off here and there is part of the pace.
func TestHolidaysAreNoPartOfThePace(t *testing.T) {
	var casts []int
	for i := range 80 {
		casts = append(casts, []int{4, 0, 8, 4}[i%4])
		if i == 50 {
			casts = append(casts, make([]int, 10)...)
		}
	}
	p := learnPace(loggedDays(casts), weekdays)
	require.Equal(t, 10, p.closed)
	require.Len(t, p.days, 80)
	require.InDelta(t, 4, p.mean(), 1e-12)
	require.Equal(t, 4.0, p.usual())
	require.Empty(t, learnPace(loggedDays(casts[:15]), weekdays).days, "too short to tell")
	require.Empty(t, learnPace(days{}, weekdays).days)
}

// A course drawn from a log of independent days has their mean, and its total over
// a time n varies by n·σ² from the days and n²·σ²/m from what m logged days leave
// unknown of the mean (law of total variance).
func TestDrawnPaceHasMeanAndVariance(t *testing.T) {
	rng := (&world{seed: 5}).stream("days")
	p := pace{block: 5}
	for range 200 {
		p.days = append(p.days, int32(rng.IntN(9)))
	}
	mean, variance := p.mean(), 0.0
	for _, n := range p.days {
		variance += (float64(n) - mean) * (float64(n) - mean) / 200
	}
	const draws, days = 20000, 50
	caps := p.draw(draws, days, rng)
	var sum, squares float64
	for d := range draws {
		total := 0.0
		for _, n := range caps[d*days : (d+1)*days] {
			total += float64(n)
		}
		sum += total
		squares += total * total
	}
	got := sum / draws
	require.InDelta(t, days*mean, got, 4*math.Sqrt(variance*(days+days*days/200.)/draws)+0.002*days*mean)
	want := variance * (days + days*days/200.)
	require.InEpsilon(t, want, squares/draws-got*got, 0.25, "blocks of one realisation are correlated a little")
}

// The even course keeps the mean and comes in days of the usual size.
func TestEvenPaceKeepsTheMean(t *testing.T) {
	p := pace{block: 5, days: []int32{0, 4, 0, 0, 4, 0, 5, 3, 0, 4}}
	sum, some := 0.0, 0
	for t, n := range p.even(1000) {
		sum += float64(n)
		if n > 0 {
			some++
		}
		if t == 0 && n == 0 {
			some = -1 << 20
		}
	}
	require.InDelta(t, 1000*p.mean(), sum, 5)
	require.InDelta(t, 500, some, 2)
}
