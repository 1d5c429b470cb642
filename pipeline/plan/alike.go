package plan

// dayCasts are the casts of each day in the draws of a scenario, by which other days'
// limits are known to change nothing.
type dayCasts struct {
	use []int32 // by draw and day, at most
	end []int32 // by draw: last day that was played
	cut []bool  // by draw: whether a day's limit kept an order from casts
}

// withDays is an outcome that keeps the casts of each day, still to be filled.
func withDays(sc scenario, draws int) outcome {
	out := newOutcome(sc, draws)
	out.days = &dayCasts{use: make([]int32, draws*len(sc.shop.cal.days)), end: make([]int32, draws), cut: make([]bool, draws)}
	return out
}

func (c *dayCasts) take(st *state, d int) {
	copy(c.use[d*len(st.use):], st.use)
	c.end[d], c.cut[d] = int32(st.end), st.cut
}

// alike reports whether a draw goes in a shop as it did in another that differs in
// the days' limits only: no limit kept an order from casts, the same days have any,
// and each has room for its casts.
func (c *dayCasts) alike(was, is *shop, d int) bool {
	if c.cut[d] {
		return false
	}
	days := len(was.cal.days)
	for t := range int(c.end[d]) + 1 {
		limit := is.most(d, t)
		if (limit > 0) != (was.most(d, t) > 0) || int(c.use[d*days+t]) > limit {
			return false
		}
	}
	return true
}

// simulateLike is simulate of a scenario that differs from another, whose outcome is
// known with the casts of each day, in the days' limits only: draws in which that
// changes nothing are not played again.
func simulateLike(sc scenario, other scenario, known outcome) outcome {
	out := newOutcome(sc, known.draws)
	n := known.jobs
	inShares(known.draws, func(st *state, d int) bool {
		if !known.days.alike(other.shop, sc.shop, d) {
			st.course(&sc, d)
			out.take(st, d)
			return true
		}
		copy(out.done[d*n:(d+1)*n], known.done[d*n:])
		copy(out.short[d*n:(d+1)*n], known.short[d*n:])
		copy(out.casts[d*n:(d+1)*n], known.casts[d*n:])
		for i := range out.made {
			out.made[i][d] = known.made[i][d]
		}
		return true
	})
	return out
}
