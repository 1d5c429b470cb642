package wall

import (
	"strings"

	"moldwright/pipeline/history"
)

// sort are the molds of one form and kind: they know the same terms.
type sort struct {
	columns []int  // of the design, those that are not 0 for all their casts
	design  design // with these columns alone
}

// sorts of the molds of a log, and by mold its sort. The columns that a form and
// kind know are found by a cast of which nothing is 0.
func (d design) sorts(log history.Log) (all []sort, of []int32) {
	type key struct{ form, kind string }
	seen := map[key]int32{}
	for _, m := range log.Molds {
		k := key{orUnknown(m.Form), m.Kind}
		at, ok := seen[k]
		if !ok {
			at = int32(len(all))
			all, seen[k] = append(all, d.known(k.form, k.kind)), at
		}
		of = append(of, at)
	}
	return all, of
}

// known is the sort of a form and kind, in a design that is sorted.
func (d design) known(form, kind string) sort {
	s := sort{design: d}
	s.design.columns = nil
	probe := row{mold: -1, form: form, kind: kind, logT: 1, age: 1, wet: 1, slip: [slipTerms]float64{1, 1}}
	for j, c := range d.columns {
		if c.of(probe) != 0 {
			if c.ages {
				c.is = moldAge // of this kind, and of this form where forms age apart
			} else if c.is == unknownQuantity {
				c.is = one
			}
			s.columns, s.design.columns = append(s.columns, j), append(s.design.columns, c)
		}
	}
	return s
}

// sortOf is the sort of a form and kind; of a design that is not sorted it has all columns.
func (d design) sortOf(form, kind string) sort {
	if d.sorted() {
		return d.known(form, kind)
	}
	s := sort{design: d}
	for j := range d.columns {
		s.columns = append(s.columns, j)
	}
	return s
}

// sorted reports whether a form and kind tell which columns a cast knows: with
// few molds some columns are those of single molds.
func (d design) sorted() bool {
	for _, c := range d.columns {
		if strings.HasPrefix(c.term, moldTerm) {
			return false
		}
	}
	return true
}

// patternsOf are the columns of the sorts as the engine takes them.
func patternsOf(sorts []sort) [][]int {
	out := make([][]int, len(sorts))
	for i, s := range sorts {
		out[i] = s.columns
	}
	return out
}

// picked are the effects of a sort's columns.
func (s sort) picked(beta, into []float64) []float64 {
	into = into[:0]
	for _, j := range s.columns {
		into = append(into, beta[j])
	}
	return into
}
