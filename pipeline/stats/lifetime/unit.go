// Package lifetime estimates how long units live from records that are cut
// short at both ends: units still alive when the record stops (right
// censoring) and units that were already old when it began (left truncation).
//
// [FitWeibull] fits the Weibull law by maximum likelihood, or by its posterior
// mode where a [Prior] stands in for missing data; [KaplanMeier] gives the
// product-limit steps that assume no law at all. Ages may be in any unit of
// time or use, as long as it is the same throughout.
package lifetime

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Unit is what was seen of one unit: it was watched from age Entry to age
// Exit. Entry is 0 for a unit watched from new, and above 0 for one that had
// already survived that long when it came into view, so that nothing can be
// known of its like that ended earlier.
type Unit struct {
	Entry float64 // age at which watching began, 0 or more
	Exit  float64 // age at which watching ended, above Entry, finite
	Ended bool    // whether the life ended at Exit; false means alive there
}

func (u Unit) check() error {
	switch {
	case math.IsNaN(u.Entry) || math.IsNaN(u.Exit):
		return fmt.Errorf("an age is not a number")
	case u.Entry < 0:
		return fmt.Errorf("it is watched from age %g, below 0", u.Entry)
	case math.IsInf(u.Exit, 0):
		return fmt.Errorf("the age at its exit is infinite")
	case u.Exit <= u.Entry:
		return fmt.Errorf("it leaves at age %g, not after the age %g at which it came into view", u.Exit, u.Entry)
	}
	return nil
}

// checkAll names the first unusable unit by its place, counted from 1.
func checkAll(units []Unit) error {
	for i, u := range units {
		if err := u.check(); err != nil {
			return fmt.Errorf("unit %d of %d cannot be used: %w", i+1, len(units), err)
		}
	}
	return nil
}

// record is a set of like units, on the log scale of age.
type record struct {
	logExit float64
	gap     float64 // log of Exit over Entry, +Inf for units watched from new
	count   float64
	ended   float64 // 0 or count
}

// gather merges like units. Logs of whole-number ages repeat a lot, and the
// sorted order makes every sum, hence every result, independent of the order
// in which units are given.
func gather(units []Unit) []record {
	sorted := slices.Clone(units)
	slices.SortFunc(sorted, func(a, b Unit) int {
		return cmp.Or(cmp.Compare(a.Exit, b.Exit), cmp.Compare(a.Entry, b.Entry), compareBool(a.Ended, b.Ended))
	})
	var records []record
	for i, u := range sorted {
		if i == 0 || u != sorted[i-1] {
			records = append(records, record{
				logExit: math.Log(u.Exit),
				gap:     math.Log1p((u.Exit - u.Entry) / u.Entry), // exact for a short watch late in life
			})
		}
		last := &records[len(records)-1]
		last.count++
		if u.Ended {
			last.ended++
		}
	}
	return records
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}
