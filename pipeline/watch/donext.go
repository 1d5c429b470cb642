package watch

import (
	"fmt"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// circumstances are what the advice on a flagged mold looks at.
type circumstances struct {
	log    history.Log
	mold   int
	track  wall.Track
	shifts *slipShifts
	chart  Chart
	left   tables.RemainingCasts // zero where there is no forecast
}

const (
	fewLeft      = 5    // casts left from which a mold is better retired
	shortRest    = 0.6  // median rest since the change against before, below which rest is to blame
	othersOfSlip = 3    // casts of other molds with a batch before it can be told from the mold
	strongShift  = 0.75 // of a batch, in standard deviations of a cast
	leastCompare = 3    // casts on either side of the change to compare
)

// doNext says what to do with a flagged mold: the first of these that fits.
// What is quick to check and to mend comes before what costs a mold.
//  1. It ended: nothing.
//  2. Rejects alone: look at the faults; retire at its end.
//  3. Walls are thin and only it uses the slip, or the slip is off: check the slip.
//  4. It rested less than before: rest it.
//  5. Few casts left: retire it.
//  6. Walls turned thin at once: re-dry it, and weigh it against its dry mass.
//  7. Wear grew: use it up with the longer dwell of the guide, and pour another.
func doNext(c circumstances) string {
	mold := c.log.Molds[c.mold]
	fast, thin := c.chart.fast(), c.chart.thin()
	few := c.left.Mold != "" && tables.Has(c.left.RemainingP50) && c.left.RemainingP50 <= fewLeft
	if !mold.InUse() {
		return "none: it has ended"
	}
	if !fast && !thin {
		if few {
			return "retire: rejects rise and it has few casts left"
		}
		return "look at the faults of its last rejects; dry it out, clean the face, and retire it if they go on"
	}
	if words, ok := c.slip(); ok {
		return words
	}
	if before, since, ok := c.rests(); ok && since < shortRest*before {
		return fmt.Sprintf("rest: it had about %s between casts before the change and %s since; give it the old rest and look at the next two walls", hoursWords(before), hoursWords(since))
	}
	if few {
		return fmt.Sprintf("retire: about %.0f casts left; pour its successor now", c.left.RemainingP50)
	}
	if thin && !fast {
		return "re-dry: dry it out fully and look at the next two walls; if they stay thin, its face is worn: plan its successor"
	}
	return "use it up with the longer dwells of the dwell guide, and pour its successor in time; re-dry it first if it feels damp"
}

// since are the casts of the track before the change and from it on.
func (c circumstances) since() (before, after []wall.TrackCast) {
	at := c.chart.Onset
	if c.chart.thin() { // the sum tells a sudden change more sharply
		at = c.chart.AgeCasts[onset(c.chart.Sum)]
	}
	for _, t := range c.track.Casts {
		if float64(t.Age) < at {
			before = append(before, t)
		} else {
			after = append(after, t)
		}
	}
	return before, after
}

// slip looks whether the casts since the change came from a batch that hardly
// any other mold met, or from one that casts thin in all molds.
func (c circumstances) slip() (string, bool) {
	_, after := c.since()
	alone, off := map[string]int{}, map[string]int{}
	for _, t := range after {
		if t.Slip == "" {
			continue
		}
		if c.shifts.others(t.Slip, c.mold).count < othersOfSlip {
			alone[t.Slip]++
		}
		if shift, _ := c.shifts.of(t.Slip, c.mold); shift < -strongShift {
			off[t.Slip]++
		}
	}
	for _, name := range sorted(alone) {
		if 3*alone[name] >= 2*len(after) {
			return "check slip " + name + ": hardly any other mold was cast with it, so that it cannot be told from the mold; cast another mold with it", true
		}
	}
	for _, name := range sorted(off) {
		if 2*off[name] >= len(after) {
			return "check slip " + name + ": all molds cast thin with it; measure its density and look again with the next batch", true
		}
	}
	return "", false
}

func sorted(counts map[string]int) []string {
	var names []string
	for n := range counts {
		names = append(names, n)
	}
	slices.Sort(names)
	return names
}

// rests is the median time between casts before the change and since, in hours;
// casts without a time of day count as at noon.
func (c circumstances) rests() (before, since float64, ok bool) {
	_, after := c.since()
	if len(after) == 0 {
		return 0, 0, false
	}
	var old, late []float64
	mold := c.log.Molds[c.mold]
	for i := mold.First + 1; i < mold.Last; i++ {
		gap := hour(c.log.Casts[i]) - hour(c.log.Casts[i-1])
		if int(c.log.Casts[i].Age) < after[0].Age {
			old = append(old, gap)
		} else {
			late = append(late, gap)
		}
	}
	if len(old) < leastCompare || len(late) < leastCompare {
		return 0, 0, false
	}
	return middle(old), middle(late), true
}

func hour(c history.Cast) float64 {
	if tables.Has(c.Minute()) {
		return 24*float64(c.Date) + c.Minute()/60
	}
	return 24*float64(c.Date) + 12
}

func middle(xs []float64) float64 {
	slices.Sort(xs)
	return xs[len(xs)/2]
}

func hoursWords(h float64) string {
	if h >= 48 {
		return fmt.Sprintf("%.0f days", h/24)
	}
	return fmt.Sprintf("%.0f hours", h)
}
