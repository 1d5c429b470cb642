package hindcast

import (
	"cmp"
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"slices"
)

// place is where what came lies in its forecast, in [0,1]; of a mold still in
// use it is only known to be above.
type place struct {
	u     float64
	ended bool
	mold  string
}

// placeOf is where what came of a mold lies among the ascending draws of its
// forecast. Casts are whole, so that several draws are like what came: the place is
// then anywhere among them, by chance, which makes the places of right forecasts
// uniform (Czado, Gneiting & Held 2009, Biometrics 65, from memory). The chance
// is the mold's and the day's own, the same in every run. A mold still in use will
// end above what it has made.
func placeOf(draws []float64, l Life) float64 {
	n := float64(len(draws))
	below, found := slices.BinarySearch(draws, l.Came)
	upTo := below
	if found {
		upTo, _ = slices.BinarySearch(draws, l.Came+0.5)
	}
	if !l.Ended {
		return float64(upTo) / n
	}
	h := fnv.New64a()
	fmt.Fprintf(h, "%s %d", l.Mold, l.Origin)
	among := rand.New(rand.NewPCG(h.Sum64(), 1)).Float64()
	u := (float64(below) + among*float64(upTo-below)) / n
	return min(max(u, 0.5/n), 1-0.5/n)
}

// productLimit is the share of forecasts whose truth lies at or below u: the
// product-limit estimate (Kaplan & Meier 1958) on the scale of the forecasts'
// own chances, on which molds still in use are censored. Counting only the ends
// that were seen would favour early ends; this does not, as long as a mold's
// being in use today tells nothing beyond its casts.
type productLimit struct {
	u     []float64 // ascending
	below []float64
}

func limitOf(places []place) productLimit { return rank(places).limit("", len(places)) }

// ranked are places in ascending order, and how many of them each mold has.
type ranked struct {
	places []place
	of     map[string]int
}

func rank(places []place) ranked {
	r := ranked{places: slices.Clone(places), of: map[string]int{}}
	slices.SortStableFunc(r.places, func(a, b place) int {
		return cmp.Or(cmp.Compare(a.u, b.u), order(b.ended)-order(a.ended))
	})
	for _, p := range places {
		r.of[p.mold]++
	}
	return r
}

// without is the estimate from all molds but one.
func (r ranked) without(mold string) productLimit {
	return r.limit(mold, len(r.places)-r.of[mold])
}

// limit is the estimate from so many places, those of one mold left out; "" for none.
func (r ranked) limit(without string, count int) productLimit {
	l := productLimit{u: make([]float64, 0, count), below: make([]float64, 0, count)}
	alive, left := 1.0, count
	for _, p := range r.places {
		if without != "" && p.mold == without {
			continue
		}
		if p.ended {
			alive *= 1 - 1/float64(left)
			l.u, l.below = append(l.u, p.u), append(l.below, 1-alive)
		}
		left--
	}
	return l
}

func order(b bool) int {
	if b {
		return 1
	}
	return 0
}

// at is the share at or below u.
func (l productLimit) at(u float64) float64 {
	i, _ := slices.BinarySearchFunc(l.u, u, func(x, t float64) int {
		if x <= t {
			return -1
		}
		return 1
	})
	if i == 0 {
		return 0
	}
	return l.below[i-1]
}

// within is the share of truths in the central interval of a level.
func (l productLimit) within(level float64) float64 {
	return l.at(0.5+level/2) - l.at(0.5-level/2)
}
