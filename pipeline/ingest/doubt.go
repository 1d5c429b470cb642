package ingest

import (
	"fmt"
	"slices"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// surveySize finds the middle of a column whose values are much of a size, and
// whether its numbers seem to have another unit than they would be read in.
func (b *block) surveySize(col *column, decl tables.Column) {
	col.habit.middle = tables.Absent()
	if !alike[b.table.Name+"."+decl.Name] {
		return
	}
	limit, keep := limitOf(b.table.Name, decl.Name), quantity.Standing(decl)
	def := keep
	if col.match.unit.Given() {
		def = col.match.unit
	}
	var believed, strange []float64
	take := func(q quantity.Quantity) {
		x := q.Base / keep.Scale
		if minutes, ok := dayFraction(q, x, keep, limit, col.habit.stored == grid.AsTime, def.Pattern == quantity.HoursMinutes); ok {
			x = minutes / keep.Scale
		}
		if limit.holds(x) {
			believed = append(believed, x)
		} else if q.Plain {
			strange = append(strange, q.Written)
		}
	}
	enough := func() bool { return len(believed)+len(strange) >= enoughForMiddle }
	typed := b.eachNumber(col, func(x float64) bool {
		take(quantity.Quantity{Base: def.Base(x), Written: x, Plain: true, By: def.Dim})
		return !enough()
	})
	if !typed {
		b.each(col, func(text string) {
			if enough() {
				return
			}
			if q, err := quantity.Parse(text, def, col.habit.mark, quantity.DimensionOf(decl)); err == nil && tables.Has(q.Base) {
				take(q)
			}
		})
	}
	if len(believed) >= leastForMiddle {
		slices.Sort(believed)
		col.habit.middle = believed[len(believed)/2]
	}
	if !col.match.unit.Given() && len(strange) >= leastForMiddle && len(strange) > len(believed) {
		b.doubtColumn(col, decl, limit, strange)
	}
}

// doubtColumn asks about the unit of a column whose numbers are mostly not
// believed, where most would be in another.
func (b *block) doubtColumn(col *column, decl tables.Column, limit limit, strange []float64) {
	times := map[string]int{}
	best := ""
	for _, written := range strange {
		words, _, ok := otherReading(decl, limit.holds, tables.Absent(), written, written)
		if !ok {
			continue
		}
		if times[words]++; best == "" || times[words] > times[best] {
			best = words
		}
	}
	if 2*times[best] <= len(strange) {
		return
	}
	col.habit.doubt = best
	b.notes = append(b.notes, note{col.at, tables.Problem{
		Code: CodeUnitDoubted, Severity: tables.Notice, Value: col.header,
		Message: fmt.Sprintf("are these %s? The header of %s names no unit, and most of its numbers are not plausible in %s; its plain numbers are not used until the header says so", best, decl.Name, decl.Unit),
		Mend:    "write the unit in the header, for example " + col.header + " (" + unitNamed(best) + ")",
	}})
}

func unitNamed(words string) string {
	for _, u := range otherUnits {
		if u.words == words {
			return u.name
		}
	}
	return words
}
