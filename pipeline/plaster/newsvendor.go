package plaster

// demand is the distribution of how much will be wanted.
type demand interface {
	CDF(x float64) float64
	Prob(x float64) float64
	Quantile(p float64) float64
}

// stockCosts says what a wrong quantity costs, all in one unit of money.
type stockCosts struct {
	unitShort float64 // for each unit wanted and not there
	unitSpare float64 // for each unit there and not wanted; above 0
	shortage  float64 // once, where there is too little at all
}

// cheapestQuantity is the quantity Q with the least expected cost
//
//	unitSpare·E[(Q−D)+] + unitShort·E[(D−Q)+] + shortage·P(D > Q)
//
// where D is the demand with distribution F and density f. The optimum obeys
//
//	unitSpare·F(Q) = unitShort·(1 − F(Q)) + shortage·f(Q)
//
// Without a cost of the shortage itself that is the newsvendor's quantile,
// F(Q) = unitShort/(unitShort + unitSpare) (Arrow, Harris, Marschak 1951,
// Econometrica 19; from memory). With one, the right side over the left falls
// as Q grows for a log-concave F, and bisection finds the crossing.
func cheapestQuantity(d demand, c stockCosts) float64 {
	ratio := c.unitShort / (c.unitShort + c.unitSpare)
	if c.shortage == 0 {
		return d.Quantile(ratio)
	}
	const tail = 1e-9
	low, high := d.Quantile(max(ratio, tail)), d.Quantile(1-tail)
	for range 200 {
		q := low + (high-low)/2
		end := &high
		if below := d.CDF(q); c.unitSpare*below < c.unitShort*(1-below)+c.shortage*d.Prob(q) {
			end = &low
		}
		if *end == q { // no number lies between
			break
		}
		*end = q
	}
	return high
}
