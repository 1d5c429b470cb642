package plaster

// urn draws pours like those of a class, which lean on all pours. The first
// draw is one of the class's own n with chance n/(n + urnLean), else any; each
// next one is any drawn before with chance k/(n + urnLean + k). That is Pólya's
// urn, the predictive law of a Dirichlet process about all pours with
// concentration urnLean (Blackwell & MacQueen 1973, Ann. Stat. 1; from memory):
// what is not known of the class, because it has few pours, is in it.
//
// Pours stand in slots: first the class's own, behind them all.
type urn struct {
	own, all int // how many
	drawn    []int32
}

const (
	// All pours weigh as much as so many of a class's own.
	urnLean = 3
	// Beyond so many draws one stands for several: recentPours tell no more than that.
	mostDrawn = 400
)

// draw draws n pours and gives their slots, and how many each stands for. They are
// good until the next draw. There are none where the urn has no pour.
func (u *urn) draw(n float64, rng lots) (slots []int32, times float64) {
	if u.all == 0 || !(n > 0) {
		return nil, 0
	}
	draws := int(min(n, mostDrawn))
	drawn := u.drawn[:0]
	for range draws {
		at := int(rng.share() * float64(u.own+urnLean+len(drawn)))
		var slot int32
		switch behind := at - u.own; {
		case behind < 0:
			slot = int32(at)
		case behind < urnLean:
			slot = int32(u.own + rng.below(u.all))
		default:
			slot = drawn[min(behind-urnLean, len(drawn)-1)]
		}
		drawn = append(drawn, slot)
	}
	u.drawn = drawn
	return drawn, n / float64(draws)
}
