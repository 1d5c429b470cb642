package life

import (
	"fmt"
	"math"
)

// Replayed is how forecasts of remaining casts by one sort of path came true when
// a studio's history was replayed.
type Replayed struct {
	Decided int     // forecasts of molds that have ended since
	Loss    float64 // mean pinball loss of their 10, 50 and 90 % points, casts
}

// LeastDecided is how many forecasts must be decided before the replay has a say
// in the choice of the path: with fewer its losses differ by chance alone. A rule
// of ours.
const LeastDecided = 40

// PathByReplay chooses between straight and wandering paths by how forecasts with
// each came true at the same past dates of the studio's own log: the one with the
// lower loss, where enough forecasts are decided. Else the choice is left to the
// walls (PathByData). The reason is a sentence for the report, "" where nothing was
// replayed.
func PathByReplay(straight, wandering Replayed) (path Path, why string) {
	n := straight.Decided
	switch {
	case n == 0 && wandering.Decided == 0:
		return PathByData, ""
	case n != wandering.Decided || math.IsNaN(straight.Loss-wandering.Loss) || straight.Loss == wandering.Loss:
		return PathByData, "Replayed on this log, straight and wandering paths forecast remaining casts alike: the walls alone decide between them, by AICc."
	case n < LeastDecided:
		return PathByData, fmt.Sprintf("Of forecasts replayed on this log, %d are decided, and %d are needed before they choose between straight and wandering paths: the walls alone decide, by AICc.", n, LeastDecided)
	}
	path, chosen, other := PathStraight, "straight", "wandering"
	low, high := straight.Loss, wandering.Loss
	if wandering.Loss < straight.Loss {
		path, chosen, other = PathWandering, other, chosen
		low, high = high, low
	}
	return path, fmt.Sprintf("Paths are %s because forecasts of remaining casts with them came nearer the truth when this log was replayed: over %d decided forecasts their mean loss is %s, that of %s paths %s.",
		chosen, n, casts(low), other, casts(high))
}

// casts is a loss to two decimals: both sides of a comparison must be told apart.
func casts(x float64) string { return fmt.Sprintf("%.2f casts", x) }
