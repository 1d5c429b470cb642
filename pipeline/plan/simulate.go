package plan

import (
	"math"
	"runtime"
	"sync"
	"sync/atomic"
)

// outcome is what became of every job in every draw. Entry draw·jobs + job.
type outcome struct {
	draws, jobs int
	done        []int32   // working day on which the last piece was cast; never where it was not
	short       []int32   // pieces missing after the due day
	casts       []int32   // casts made for it up to the due day
	made        [][]int32 // by mold of the scenario and draw: casts made when the last due day ended

	days *dayCasts // nil where they are not kept
}

// never is the day of an order that is not completed within the plan.
const never = math.MaxInt32

// simulate runs a scenario through the first draws of the world, on all cores.
// Which core takes which draw changes nothing.
func simulate(sc scenario, draws int) outcome {
	out := newOutcome(sc, draws)
	out.fill(sc)
	return out
}

// fill plays all draws.
func (o *outcome) fill(sc scenario) {
	inShares(o.draws, func(st *state, d int) bool {
		st.course(&sc, d)
		o.take(st, d)
		return true
	})
}

func newOutcome(sc scenario, draws int) outcome {
	n := len(sc.shop.jobs)
	out := outcome{draws: draws, jobs: n, done: make([]int32, draws*n), short: make([]int32, draws*n), casts: make([]int32, draws*n)}
	out.made = make([][]int32, len(sc.molds))
	for i := range out.made {
		out.made[i] = make([]int32, draws)
	}
	return out
}

// take keeps what came of a draw.
func (o *outcome) take(st *state, d int) {
	for j := range o.jobs {
		at := d*o.jobs + j
		o.done[at], o.short[at], o.casts[at] = int32(st.doneOn[j]), int32(st.shortAt[j]), int32(st.casts[j])
	}
	for i := range o.made {
		o.made[i][d] = int32(st.madeByDue[i])
	}
	if o.days != nil {
		o.days.take(st, d)
	}
}

// first is what became of the first draws.
func (o outcome) first(draws int) outcome {
	n := draws * o.jobs
	out := outcome{draws: draws, jobs: o.jobs, done: o.done[:n], short: o.short[:n], casts: o.casts[:n], made: make([][]int32, len(o.made))}
	for i := range o.made {
		out.made[i] = o.made[i][:draws]
	}
	return out
}

// reaches reports whether of the first draws at most so many leave a job of the
// set late. It stops as soon as that is settled.
func reaches(sc scenario, draws, mostLate int, jobs []int) bool {
	return settle(sc, draws, mostLate, jobs, math.Inf(1), delayed{})
}

// likely is reaches, but settles as soon as few doubts are left: when the late
// draws of a job are further than so many standard deviations from the share
// allowed, above for one job or below for all.
func likely(sc scenario, draws, mostLate int, jobs []int) bool {
	return settle(sc, draws, mostLate, jobs, surely, delayed{})
}

const (
	surely      = 3.5 // standard deviations: one comparison in thousands goes wrong
	settleDraws = 128 // between two looks, so that cores decide nothing
)

func settle(sc scenario, draws, mostLate int, jobs []int, sd float64, known delayed) bool {
	late := make([]atomic.Int64, len(jobs))
	q := float64(mostLate) / float64(draws)
	for from := 0; from < draws; from += settleDraws {
		n := min(settleDraws, draws-from)
		inShares(n, func(st *state, d int) bool {
			if known.count(late, from+d) {
				return true
			}
			st.only = jobs
			st.courseOf(&sc, from+d)
			for i, j := range jobs {
				if st.shortAt[j] > 0 {
					late[i].Add(1)
				}
				known.tell(from+d, i, st.shortAt[j] > 0)
			}
			return true
		})
		m := float64(from + n)
		doubt, clear := sd*math.Sqrt(m*q*(1-q)), true
		for i := range late {
			is := float64(late[i].Load())
			if is > float64(mostLate) || is > q*m+doubt {
				return false
			}
			clear = clear && is < q*m-doubt
		}
		if clear {
			return true
		}
	}
	return true
}

// shareDraws are the draws that one core takes at a time.
const shareDraws = 32

func inShares(draws int, each func(st *state, d int) bool) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), (draws+shareDraws-1)/shareDraws) {
		wg.Go(func() {
			st := &state{}
			for {
				from := int(next.Add(shareDraws)) - shareDraws
				if from >= draws {
					return
				}
				for d := from; d < min(from+shareDraws, draws); d++ {
					if !each(st, d) {
						return
					}
				}
			}
		})
	}
	wg.Wait()
}
