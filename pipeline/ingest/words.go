package ingest

import (
	"slices"
	"strconv"
	"strings"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// reading is one way to understand the words of a header: the name that is
// left after a unit, a number, a basis or a word such as id have been taken off.
type reading struct {
	words []string
	taken []string // what was taken off, in order
	unit  string
	pick  int
	basis string
	mean  bool
	id    bool
}

// readings lists the ways to understand the words, the ones that take least
// off first.
func readings(words []string) []reading {
	if len(words) == 0 || len(words) > 12 {
		return nil
	}
	all := []reading{{words: words}}
	for i := 0; i < len(all) && len(all) < 200; i++ {
		all = append(all, all[i].shorter()...)
	}
	return all
}

// shorter lists what is left after one more thing has been taken off. Each
// kind of thing is taken off once, and never the last word.
func (r reading) shorter() []reading {
	var out []reading
	n := len(r.words)
	take := func(what string, left []string, change func(*reading)) {
		if len(left) == 0 {
			return
		}
		next := r
		next.words = left
		next.taken = append(slices.Clone(r.taken), what)
		change(&next)
		out = append(out, next)
	}
	if r.unit == "" {
		for k := 1; k <= 3 && k < n; k++ {
			last := strings.Join(r.words[n-k:], " ")
			if _, ok := quantity.LookAnyUnit(last); ok {
				left := r.words[:n-k]
				if len(left) > 1 && left[len(left)-1] == "in" { // Wall in cm
					left = left[:len(left)-1]
				}
				take("unit", left, func(x *reading) { x.unit = last })
			}
		}
	}
	last := r.words[n-1]
	if r.pick == 0 {
		if k, err := strconv.Atoi(last); err == nil && k > 0 && k < grid.MaxColumns {
			take("number", r.words[:n-1], func(x *reading) { x.pick = k })
		} else if i := slices.Index(positions, last); i >= 0 {
			take("position", r.words[:n-1], func(x *reading) { x.pick = 1000 + i })
		}
	}
	if basis, left := takeBasis(r.words); basis != "" && r.basis == "" {
		take("basis", left, func(x *reading) { x.basis = basis })
	}
	if i := slices.IndexFunc(r.words, func(w string) bool { return w == "mean" || w == "average" || w == "avg" }); i >= 0 && !r.mean {
		take("mean", slices.Delete(slices.Clone(r.words), i, i+1), func(x *reading) { x.mean = true })
	}
	if !r.id && slices.Contains(idWords, last) {
		take("id", r.words[:n-1], func(x *reading) { x.id = true })
	}
	return out
}

// takeBasis finds the words that say how something was weighed or measured,
// and gives the words without them.
func takeBasis(words []string) (basis string, left []string) {
	for i, w := range words {
		switch w {
		case "dry", "dried":
			basis = tables.WallDry
		case "wet", "fresh":
			basis = tables.WallWet
		case "fired":
			basis = tables.WallFired
		default:
			continue
		}
		left = slices.Delete(slices.Clone(words), i, i+1)
		if w == "dry" && i < len(left) && left[i] == "plaster" {
			left = slices.Delete(left, i, i+1)
		}
		if len(left) > 0 && left[0] == "as" {
			left = left[1:]
		}
		return basis, left
	}
	return "", words
}
