package plaster

import (
	"math/bits"
	"math/rand/v2"
)

// lots draws from a generator. below and share give what IntN and Float64 of
// math/rand/v2 give from it, to the bit, without the way through an interface: tens of
// millions of them are drawn, in half the time.
type lots struct {
	*rand.Rand // draws from the same generator
	pcg        *rand.PCG
}

func newLots(seed, stream uint64) lots {
	pcg := rand.NewPCG(seed, stream)
	return lots{rand.New(pcg), pcg}
}

// share is uniform in [0, 1).
func (l lots) share() float64 { return float64(l.pcg.Uint64()<<11>>11) / (1 << 53) }

// below is one of 0 … n−1, n above 0 (Lemire 2019, ACM Trans. Model. Comput. Simul. 29, from memory).
func (l lots) below(n int) int {
	of := uint64(n)
	if of&(of-1) == 0 {
		return int(l.pcg.Uint64() & (of - 1))
	}
	high, low := bits.Mul64(l.pcg.Uint64(), of)
	if low < of {
		for least := -of % of; low < least; {
			high, low = bits.Mul64(l.pcg.Uint64(), of)
		}
	}
	return int(high)
}
