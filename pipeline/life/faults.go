package life

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"

	"moldwright/pipeline/history"
)

// faults is what the log says of rejects: the log odds that a piece is a reject
// are level + rise·age/faultAge + the mold's own, which is N(0, moldFaults²).
// Fitted as the posterior mode, with normal beliefs on level and rise; draws come
// from the normal law that touches the posterior there (Laplace).
type faults struct {
	place map[int]int // of a mold's own effect
	mode  []float64
	root  *mat.TriDense // of the covariance
}

// Beliefs before a log is read, common practice, no source: one piece in thirty of
// a new mold is a reject, and ten casts more change little.
const (
	faultAge    = 50.0
	faultLevel  = -3.4
	levelSpread = 1.0
	faultRise   = 0.5
	riseSpread  = 1.0
	moldFaults  = 0.5
	faultRounds = 50
)

// faultsOf fits the casts whose result was logged; nil where none was.
func faultsOf(log history.Log) *faults {
	f := &faults{place: map[int]int{}}
	n := 0
	for _, c := range log.Casts {
		if c.Result == "" {
			continue
		}
		n++
		if _, ok := f.place[c.Mold]; !ok {
			f.place[c.Mold] = 2 + len(f.place)
		}
	}
	if n == 0 {
		return nil
	}
	k := 2 + len(f.place)
	f.mode = make([]float64, k)
	f.mode[0], f.mode[1] = faultLevel, faultRise
	info := mat.NewSymDense(k, nil)
	var chol mat.Cholesky
	for range faultRounds {
		pull := f.slopes(log, info)
		if !chol.Factorize(info) {
			return nil
		}
		step := mat.NewVecDense(k, nil)
		if chol.SolveVecTo(step, pull) != nil {
			return nil
		}
		longest := mat.Norm(step, math.Inf(1))
		for j := range f.mode { // damped: the log odds move by at most 1 a round
			f.mode[j] += step.AtVec(j) / max(1, longest)
		}
		if longest < 1e-9 {
			break
		}
	}
	var cov mat.SymDense
	if !chol.Factorize(info) || chol.InverseTo(&cov) != nil || !chol.Factorize(&cov) {
		return nil
	}
	f.root = mat.NewTriDense(k, mat.Lower, nil)
	chol.LTo(f.root)
	return f
}

// slopes are the gradient of the log posterior at the mode, and into info goes
// the negative of its second derivatives.
func (f *faults) slopes(log history.Log, info *mat.SymDense) *mat.VecDense {
	info.Zero()
	pull := mat.NewVecDense(len(f.mode), nil)
	believe := func(j int, mean, sd float64) {
		info.SetSym(j, j, info.At(j, j)+1/(sd*sd))
		pull.SetVec(j, pull.AtVec(j)+(mean-f.mode[j])/(sd*sd))
	}
	believe(0, faultLevel, levelSpread)
	believe(1, faultRise, riseSpread)
	for j := 2; j < len(f.mode); j++ {
		believe(j, 0, moldFaults)
	}
	for _, c := range log.Casts {
		if c.Result == "" {
			continue
		}
		at, own := [3]int{0, 1, f.place[c.Mold]}, [3]float64{1, float64(c.Age) / faultAge, 1}
		p := chance(f.mode[0] + f.mode[1]*own[1] + f.mode[at[2]])
		y := 0.0
		if c.Result == "reject" {
			y = 1
		}
		for a, j := range at {
			pull.SetVec(j, pull.AtVec(j)+own[a]*(y-p))
			for b := a; b < len(at); b++ {
				info.SetSym(j, at[b], info.At(j, at[b])+own[a]*own[b]*p*(1-p))
			}
		}
	}
	return pull
}

// draw is the age from which mold m's chance of a reject exceeds a limit.
func (f *faults) draw(m int, limit float64, rng *rand.Rand) float64 {
	k := len(f.mode)
	z := make([]float64, k)
	for i := range z {
		z[i] = rng.NormFloat64()
	}
	at := func(j int) float64 {
		v := f.mode[j]
		for i := 0; i <= j; i++ {
			v += f.root.At(j, i) * z[i]
		}
		return v
	}
	own := 0.0
	if j, ok := f.place[m]; ok {
		own = at(j)
	} else {
		own = moldFaults * rng.NormFloat64()
	}
	left := math.Log(limit/(1-limit)) - at(0) - own
	rise := at(1) / faultAge
	switch {
	case left < 0:
		return 0
	case rise <= 0:
		return math.Inf(1)
	}
	return math.Ceil(left / rise)
}

// chance turns log odds into a chance.
func chance(odds float64) float64 { return 1 / (1 + math.Exp(-odds)) }
