package plan

import (
	"math"
	"strconv"
	"strings"
)

// rule says which order is served first on a day.
type rule struct {
	kind ruleKind
	list []int // places of the jobs, for a fixed list
}

type ruleKind int

const (
	earliestDue    ruleKind = iota // Jackson 1955
	earliestOpen                   // likewise, orders whose day has passed last
	leastSlack                     // days left less days needed, orders whose day has passed last
	hopefulFirst                   // earliest due among those that can still be met, then the others
	bestShare                      // most days left of the days needed last
	fixedList                      // a list found by search
	candidateRules = int(fixedList)
)

// changes reports whether the order of service can change from day to day, other
// than by an order's day passing.
func (r rule) changes() bool {
	return r.kind == leastSlack || r.kind == hopefulFirst || r.kind == bestShare
}

// words name the rule; a list by the numbers of its orders.
func (r rule) words(jobs []job) string {
	switch r.kind {
	case earliestDue:
		return "earliest due date first"
	case earliestOpen:
		return "earliest due date first, orders whose day has passed last"
	case leastSlack:
		return "least slack first (working days left less those needed), orders whose day has passed last"
	case hopefulFirst:
		return "earliest due date first among the orders that can still be met, then the others"
	case bestShare:
		return "orders that are nearest to done first, by the share of their days that they still need"
	}
	numbers := make([]string, len(jobs))
	for j, at := range r.list {
		numbers[at] = strconv.Itoa(jobs[j].order + 1)
	}
	return "a list of the orders that was found by exchanging neighbours: " + strings.Join(numbers, ", ") + "; orders whose day has passed last"
}

// rank puts the open jobs in the order in which they are served on day t.
func (st *state) rank(t int) {
	sc := st.sc
	dynamic := sc.rule.changes()
	if dynamic {
		for f := range st.rate {
			form := &sc.shop.forms[f]
			st.rate[f] = min(float64(len(st.ready[f])*form.slots), sc.shop.mean) * (1 - form.lost)
		}
	}
	for i, j := range st.open {
		if dynamic && sc.shop.jobs[j].start > t {
			st.key[i] = notBegun
			continue
		}
		st.key[i] = sc.rule.key(st, t, j)
	}
	// Insertion sort: from day to day the order changes little.
	for i := 1; i < len(st.open); i++ {
		j, k := st.open[i], st.key[i]
		at := i
		for at > 0 && (st.key[at-1] > k || st.key[at-1] == k && st.later(st.open[at-1], j)) {
			st.open[at], st.key[at] = st.open[at-1], st.key[at-1]
			at--
		}
		st.open[at], st.key[at] = j, k
	}
}

// later breaks ties: by due day, then by place on the sheet.
func (st *state) later(a, b int) bool {
	x, y := &st.sc.shop.jobs[a], &st.sc.shop.jobs[b]
	if x.due != y.due {
		return x.due > y.due
	}
	return a > b
}

// notBegun is the key of an order that is not begun, which is served by no rule.
const notBegun = 1e12

// passed is added to the key of an order whose day has passed.
const passed = 1e9

func (r rule) key(st *state, t, j int) float64 {
	jb := &st.sc.shop.jobs[j]
	late := 0.0
	if jb.due < t {
		late = passed
	}
	switch r.kind {
	case earliestDue:
		return float64(jb.due)
	case earliestOpen:
		return float64(jb.due) + late
	case fixedList:
		return float64(r.list[j]) + late
	}
	needs, left := st.daysNeeded(j), float64(jb.due-t+1)
	switch r.kind {
	case leastSlack:
		return left - needs + late
	case bestShare:
		return needs/math.Max(left, 0.5) + late
	}
	if needs > left {
		return passed/2 + needs - left + late
	}
	return float64(jb.due)
}

// daysNeeded is how many days the job would take with all molds of its form to
// itself.
func (st *state) daysNeeded(j int) float64 {
	rate := st.rate[st.sc.shop.jobs[j].form]
	if rate == 0 {
		return passed / 4
	}
	return float64(st.left[j]) / rate
}
