package plan

import (
	"cmp"
	"slices"
)

// retries is how the pours of one mold follow each other.
type retries struct {
	again   []int // days from a pour that failed to the next for the mold
	between []int // days from one part of a mold to the next
}

// Days between pours of one mold where the log does not tell: common practice, no
// source. A form is mended or set up anew within a week; the next part is poured
// within days.
const (
	againLow, againHigh     = 1, 7
	betweenLow, betweenHigh = 1, 3
	leastGaps               = 5
	mostPours               = 20 // after which a mold is given up
)

// retries are learnt from the pours that name the mold they were for.
func (l *pourLinks) retries() retries {
	byMold := map[int][]int{}
	for i, m := range l.mold {
		if m >= 0 && l.pours[i].date.Valid() {
			byMold[m] = append(byMold[m], i)
		}
	}
	var r retries
	for _, mine := range byMold {
		slices.SortStableFunc(mine, func(a, b int) int { return cmp.Compare(l.pours[a].date, l.pours[b].date) })
		for k, i := range mine[:len(mine)-1] {
			gap := int(l.pours[mine[k+1]].date - l.pours[i].date)
			switch {
			case gap > longestLead:
			case l.made[i]:
				r.between = append(r.between, gap)
			default:
				r.again = append(r.again, gap)
			}
		}
	}
	if len(r.again) < leastGaps {
		r.again = upTo(againLow, againHigh)
	}
	if len(r.between) < leastGaps {
		r.between = upTo(betweenLow, betweenHigh)
	}
	slices.Sort(r.again)
	slices.Sort(r.between)
	return r
}

func upTo(low, high int) []int {
	var out []int
	for d := low; d <= high; d++ {
		out = append(out, d)
	}
	return out
}
