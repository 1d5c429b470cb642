package watch

import "moldwright/pipeline/tables"

// What the evidence on a mold may be.
const (
	ByWear    = "wear"
	ByThin    = "thin walls"
	ByRejects = "rejects"
)

// Trail is one kind of evidence on a mold, cast by cast, in parts of its limit:
// above 1 it flags the mold.
type Trail struct {
	What     string
	AgeCasts []float64
	Share    []float64
}

// Strongest is the evidence that stands farthest above its limit, or nearest
// below it, after the mold's last cast. It has no casts where there is none.
func (c Chart) Strongest() Trail {
	var best Trail
	last := func(t Trail) float64 { return t.Share[len(t.Share)-1] }
	for _, t := range []Trail{
		trail(ByWear, c.AgeCasts, c.Wear, c.WearLimit), trail(ByThin, c.AgeCasts, c.Sum, c.Limit), trail(ByRejects, c.RejectAge, c.Rejects, c.RejectLimit),
	} {
		if len(t.Share) > 0 && (len(best.Share) == 0 || last(t) > last(best)) {
			best = t
		}
	}
	return best
}

// trail is empty without a limit. Odds below one are no evidence.
func trail(what string, ages, values []float64, limit float64) Trail {
	if !tables.Has(limit) || limit <= 0 || len(values) != len(ages) {
		return Trail{}
	}
	t := Trail{What: what, AgeCasts: ages, Share: make([]float64, len(values))}
	for i, v := range values {
		t.Share[i] = max(v/limit, 0)
	}
	return t
}
