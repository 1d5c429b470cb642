package watch

import "moldwright/pipeline/wall"

// A shift that all molds share while a batch of slip is in use is the slip's,
// not a mold's: from each error the mean error of the other molds with that
// batch is taken, drawn to zero by sharedPrior errors of no shift. With ten
// casts of other molds half of their mean is believed.
const sharedPrior = 10

// batchSum is the errors of a batch, all molds together.
type batchSum struct {
	sum   float64
	count int
}

// withoutShared takes the shift of each batch of slip off the errors of every
// mold. Errors beyond a typing error count as one.
func withoutShared(errs [][]wall.StepError) [][]wall.StepError {
	all := map[string]batchSum{}
	own := make([]map[string]batchSum, len(errs))
	for m, es := range errs {
		own[m] = map[string]batchSum{}
		for _, e := range es {
			add(all, e)
			add(own[m], e)
		}
	}
	out := make([][]wall.StepError, len(errs))
	for m, es := range errs {
		for _, e := range es {
			if e.Slip != "" {
				others := all[e.Slip]
				mine := own[m][e.Slip]
				e.Z -= (others.sum - mine.sum) / float64(others.count-mine.count+sharedPrior)
			}
			out[m] = append(out[m], e)
		}
	}
	return out
}

func add(to map[string]batchSum, e wall.StepError) {
	b := to[e.Slip]
	b.sum += clipped(e.Z)
	b.count++
	to[e.Slip] = b
}
