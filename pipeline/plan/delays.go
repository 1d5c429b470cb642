package plan

import (
	"math"
	"sync/atomic"
)

// delays remembers by how many days pours were put off in a draw without making a job
// late, and by how many it was late. An order that is late with a delay is taken to be
// late with a longer one, and one that is in time to be so with a shorter one, so that
// in the search for the longest delay most draws need not be played again.
type delays struct {
	jobs     int
	inTime   []int32 // by draw and job: longest delay known to be in time, −1 without
	lateFrom []int32 // likewise: shortest delay known to be late
}

func newDelays(draws, jobs int) *delays {
	k := &delays{jobs: jobs, inTime: make([]int32, draws*jobs), lateFrom: make([]int32, draws*jobs)}
	for i := range k.inTime {
		k.inTime[i], k.lateFrom[i] = -1, math.MaxInt32
	}
	return k
}

// delayed are the delays that are known where pours are put off by so many days; the
// zero delayed knows and remembers nothing.
type delayed struct {
	*delays
	by int32
}

// count adds the late jobs of a draw where all of them are known.
func (k delayed) count(late []atomic.Int64, draw int) bool {
	if k.delays == nil {
		return false
	}
	mine, from := k.inTime[draw*k.jobs:(draw+1)*k.jobs], k.lateFrom[draw*k.jobs:(draw+1)*k.jobs]
	for i := range mine {
		if mine[i] < k.by && k.by < from[i] {
			return false
		}
	}
	for i := range mine {
		if k.by >= from[i] {
			late[i].Add(1)
		}
	}
	return true
}

func (k delayed) tell(draw, job int, late bool) {
	if k.delays == nil {
		return
	}
	at := draw*k.jobs + job
	if late {
		k.lateFrom[at] = min(k.lateFrom[at], k.by)
	} else {
		k.inTime[at] = max(k.inTime[at], k.by)
	}
}
