package plaster

import "math/rand/v2"

// urn draws pours like those of a class, which lean on all pours. The first
// draw is one of the class's own n with chance n/(n + urnLean), else any; each
// next one is any drawn before with chance k/(n + urnLean + k). That is Pólya's
// urn, the predictive law of a Dirichlet process about all pours with
// concentration urnLean (Blackwell & MacQueen 1973, Ann. Stat. 1; from memory):
// what is not known of the class, because it has few pours, is in it.
type urn struct {
	own, all []int // places in a list of pours
}

const (
	// All pours weigh as much as so many of a class's own.
	urnLean = 3
	// Beyond so many draws one stands for several: recentPours tell no more than that.
	mostDrawn = 400
)

// each draws n pours and hands each to use, with how many it stands for. It
// does nothing where there is no pour.
func (u urn) each(n float64, rng *rand.Rand, use func(i int, times float64)) {
	if len(u.all) == 0 || !(n > 0) {
		return
	}
	draws := int(min(n, mostDrawn))
	drawn := make([]int, 0, draws)
	for range draws {
		at := rng.Float64() * float64(len(u.own)+urnLean+len(drawn))
		var i int
		switch k := int(at); {
		case k < len(u.own):
			i = u.own[k]
		case k < len(u.own)+urnLean:
			i = u.all[rng.IntN(len(u.all))]
		default:
			i = drawn[min(k-len(u.own)-urnLean, len(drawn)-1)]
		}
		drawn = append(drawn, i)
		use(i, n/float64(draws))
	}
}
