package plan

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"moldwright/pipeline/tables"
)

// pace is how many casts the studio makes on the working days of its log, those
// without any included.
type pace struct {
	days   []int32 // casts of each of the last working days, oldest first; empty where the log does not tell
	closed int     // working days left out, because the studio was shut
	block  int     // working days of a week
}

const (
	paceDays   = 260  // working days that are looked back on: about a year
	leastPace  = 20   // working days below which the log shows no pace
	shutChance = 1e-3 // a stretch without casts that chance makes so rarely is a holiday
)

func learnPace(log days, week []time.Weekday) pace {
	p := pace{block: max(1, len(week))}
	var all []int32
	for i := max(0, len(log.use)-1-2*365); i < len(log.use); i++ {
		if d := log.first + tables.Date(i); slices.Contains(week, d.Time().Weekday()) {
			all = append(all, log.use[i].casts)
		}
	}
	all, p.closed = withoutHolidays(all)
	if all = all[max(0, len(all)-paceDays):]; len(all) >= leastPace {
		p.days = all
	}
	return p
}

// withoutHolidays leaves out stretches without casts that are too long for chance:
// of L days where a share q of the others has none, with qᴸ below shutChance.
func withoutHolidays(days []int32) (kept []int32, closed int) {
	none := 0
	for _, n := range days {
		if n == 0 {
			none++
		}
	}
	// Twice, since holidays themselves raise the share.
	for range 2 {
		q := float64(none) / float64(max(1, len(days)-closed))
		kept, closed, none = nil, 0, 0
		for from := 0; from < len(days); {
			to := from
			for to < len(days) && days[to] == 0 {
				to++
			}
			switch {
			case to == from:
				kept = append(kept, days[from])
				to++
			case math.Pow(q, float64(to-from)) < shutChance:
				closed += to - from
			default:
				kept, none = append(kept, days[from:to]...), none+to-from
			}
			from = to
		}
	}
	return kept, closed
}

// mean is the casts of a working day.
func (p pace) mean() float64 {
	sum := 0.0
	for _, n := range p.days {
		sum += float64(n)
	}
	return sum / float64(max(1, len(p.days)))
}

// usual is the middle number of casts of a day with any.
func (p pace) usual() float64 {
	var some []float64
	for _, n := range p.days {
		if n > 0 {
			some = append(some, float64(n))
		}
	}
	if len(some) == 0 {
		return 0
	}
	return median(some)
}

// draw gives the casts of so many coming working days in so many draws, draw by
// draw: stretches of a week taken at random from the log (moving blocks: Künsch
// 1989, Ann. Stat. 17, from memory), in each draw only from as many stretches as
// the log holds, taken from it at random with replacement (Efron 1979, Ann. Stat.
// 7, from memory), so that draws differ by what the log leaves unknown of the pace.
func (p pace) draw(draws, days int, rng *rand.Rand) []int32 {
	out := make([]int32, draws*days)
	n := len(p.days)
	starts := make([]int, max(1, n/p.block))
	for d := range draws {
		for i := range starts {
			starts[i] = rng.IntN(n)
		}
		row := out[d*days : (d+1)*days]
		// A plan may begin in the middle of a stretch.
		at, left := 0, 0
		for t := range row {
			if left == 0 {
				at, left = starts[rng.IntN(len(starts))], p.block
				if t == 0 {
					skip := rng.IntN(p.block)
					at, left = at+skip, left-skip
				}
			}
			row[t] = p.days[at%n]
			at, left = at+1, left-1
		}
	}
	return out
}

// even is a course of days as the log has them: days of its usual number of casts,
// so far apart that its mean is kept.
func (p pace) even(days int) []int32 {
	out := make([]int32, days)
	usual, owed := max(1, p.usual()), 0.0
	for t := range out {
		if t == 0 {
			owed = usual - p.mean() // the first day is one with casts
		}
		if owed += p.mean(); owed >= usual-1e-9 {
			n := max(usual, math.Floor(owed+1e-9)) // more where the mean is above the usual
			out[t], owed = int32(n), owed-n
		}
	}
	return out
}

// scaled are the casts of days by a factor; parts of casts are given to days by
// chance.
func scaled(days []int32, factor float64, rng *rand.Rand) []int32 {
	out := make([]int32, len(days))
	for i, n := range days {
		out[i] = int32(math.Floor(factor*float64(n) + rng.Float64()))
	}
	return out
}

// basis says where the pace comes from.
func (p pace) basis() string {
	none := 0
	for _, n := range p.days {
		if n == 0 {
			none++
		}
	}
	words := fmt.Sprintf("the log's last %d working days, %d of them without casts", len(p.days), none)
	if p.closed > 0 {
		words += fmt.Sprintf("; %d more in long stretches without casts are taken for holidays", p.closed)
	}
	return words
}
