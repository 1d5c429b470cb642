package plaster

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"moldwright/pipeline/tables"
)

// outline is the gap table of one pour, lowest height first.
type outline struct {
	heights []float64   // mm above the base board, increasing
	gaps    [][]float64 // mm, at each height; one or more readings
}

// top is the height of the model: its highest measured height, mm.
func (o outline) top() float64 { return o.heights[len(o.heights)-1] }

const (
	// Two heights nearer than this, in mm, are one height written twice.
	sameHeightMM = 0.5
	// A reading may be off by so many standard errors before it is impossible.
	toleratedErrors = 3
)

// gapTable is what was read of one pour's gaps, in the order of the rows.
type gapTable struct {
	pour string
	rows []tables.Gap // with readings that can be
	bad  bool         // whether a row had to be left out
}

// gapTables sorts the gaps table by pour, in the order of first mention. Rows
// that can't be are told and left out, and their pour gets no needed volume.
func gapTables(rows []tables.Gap, problems *problemList) []*gapTable {
	var all []*gapTable
	at := map[string]*gapTable{}
	for _, r := range rows {
		g := at[fold(r.Pour)]
		if g == nil {
			g = &gapTable{pour: r.Pour}
			at[fold(r.Pour)] = g
			all = append(all, g)
		}
		readings, t := readingsOf(r)
		if t != nil {
			problems.add(r.Origin, t.column, tables.Problem{Code: t.code, Severity: tables.SetAside, Value: t.value,
				Message: t.message + fmt.Sprintf("; no needed volume for pour %s", r.Pour), Mend: t.mend})
			g.bad = true
			continue
		}
		r.GapsMM = readings
		g.rows = append(g.rows, r)
	}
	return all
}

// outlineOf checks the gap rows of a pour against each other. The row of the
// first trouble comes with it.
func outlineOf(rows []tables.Gap) (outline, *trouble, tables.Origin) {
	var o outline
	for _, r := range rows {
		o.heights = append(o.heights, r.HeightMM)
		o.gaps = append(o.gaps, r.GapsMM)
	}
	// A table may run from the top down: a model is measured either way.
	if len(o.heights) > 1 && o.heights[0] > o.heights[len(o.heights)-1] {
		slices.Reverse(o.heights)
		slices.Reverse(o.gaps)
		rows = slices.Clone(rows)
		slices.Reverse(rows)
	}
	for i := 1; i < len(o.heights); i++ {
		step := o.heights[i] - o.heights[i-1]
		switch {
		case math.Abs(step) < sameHeightMM:
			return outline{}, &trouble{"height", "height-twice", show(o.heights[i]), "the height stands twice in the gap table of this pour", "delete one of the rows, or correct its height"}, rows[i].Origin
		case step < 0:
			return outline{}, &trouble{"height", "heights-out-of-order", show(o.heights[i]), "the heights of this pour neither rise nor fall from row to row, as after a slip of the pen", "correct the height, or sort the rows"}, rows[i].Origin
		}
	}
	return o, nil, tables.Origin{}
}

// readingsOf are the gaps of a row, without those that are absent.
func readingsOf(r tables.Gap) ([]float64, *trouble) {
	if !tables.Has(r.HeightMM) || r.HeightMM < 0 || r.HeightMM > longestMM {
		return nil, &trouble{"height", "height-impossible", show(r.HeightMM), "a height above the base board can't be this", "correct the height and its unit"}
	}
	var out []float64
	for _, g := range r.GapsMM {
		switch {
		case !tables.Has(g):
		case g < 0 || g > longestMM:
			return nil, &trouble{"gap", "gap-impossible", show(g), "a gap can't be negative or longer than any containment wall", "correct the gap and its unit"}
		default:
			out = append(out, g)
		}
	}
	if len(out) == 0 {
		return nil, &trouble{"gap", "no-gap", "", "the row has a height and no gap", "fill in the gap, or delete the row"}
	}
	if len(out) < len(r.GapsMM) && len(out) >= 4 {
		// A direction is missing, so the others no longer stand at equal angles.
		out = []float64{meanOf(out)}
	}
	return out, nil
}

// fits checks that the model lies within the containment wall. A gap may pass
// the middle by what the readings can be off, as at a pointed top.
func (o outline) fits(c containment, readingErrorMM float64) (*trouble, int) {
	for i, gaps := range o.gaps {
		for j, g := range gaps {
			half := c.tightest(j, len(gaps))
			if g > half+toleratedErrors*readingErrorMM {
				return &trouble{"gap", "gap-too-wide", show(g),
					fmt.Sprintf("a gap of %s mm is more than half the inside of the containment wall there (%s mm): the model would have no width", show(g), show(half)),
					"correct the gap, or the inside of the containment wall"}, i
			}
		}
	}
	return nil, 0
}

// show writes a number as a person would type it, with at most a decimal.
func show(x float64) string {
	if !tables.Has(x) {
		return ""
	}
	if math.Abs(x) >= 1e9 {
		return "more than a billion"
	}
	return strconv.FormatFloat(math.Round(x*10)/10, 'f', -1, 64)
}
