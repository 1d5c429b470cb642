// Package runlength tells how long cumulative sum (CUSUM) charts run before
// they signal: on average how many observations pass between false alarms
// while nothing has changed, and how many until a change is noticed.
//
// [ARL] and [Limit] are about sums of standard normal errors, [Bernoulli]
// about sums of events that happen or not.
package runlength

// chain is an absorbing Markov chain whose moves from state i reach no
// further than states i-down to i+up, so that only that band is kept.
type chain struct {
	down, up int
	move     [][]float64 // move[i][j-i+down] is the chance of i to j
	signal   []float64   // chance of absorption, given apart from the moves
}

func newChain(states, down, up int) *chain {
	down, up = min(down, states-1), min(up, states-1)
	c := &chain{down: down, up: up, move: make([][]float64, states), signal: make([]float64, states)}
	for i := range c.move {
		c.move[i] = make([]float64, down+up+1)
	}
	return c
}

func (c *chain) add(from, to int, chance float64) {
	c.move[from][to-from+c.down] += chance
}

// meanSteps is the mean number of steps from state 0 to absorption; it uses
// up the chain.
//
// States are taken out one after the other, from the highest, and their
// visits are passed on to the others (Grassmann, Taksar & Heyman, Operations
// Research 33, 1985). The chance to leave a state is summed, never subtracted
// from 1, so that run lengths keep their digits however long they are.
func (c *chain) meanSteps() float64 {
	steps := make([]float64, len(c.move)) // until a state that is still in
	for i := range steps {
		steps[i] = 1
	}
	for n := len(c.move) - 1; n > 0; n-- {
		first := max(0, n-c.down)
		leave := c.signal[n]
		for j := first; j < n; j++ {
			leave += c.move[n][j-n+c.down]
		}
		for i := max(0, n-c.up); i < n; i++ {
			visits := c.move[i][n-i+c.down]
			if visits == 0 {
				continue
			}
			visits /= leave
			steps[i] += visits * steps[n]
			c.signal[i] += visits * c.signal[n]
			// States below i-down cannot be reached from n, which is above i.
			row := c.move[i]
			for j := first; j < n; j++ {
				row[j-i+c.down] += visits * c.move[n][j-n+c.down]
			}
		}
	}
	return steps[0] / c.signal[0]
}
