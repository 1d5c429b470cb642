package ingest

import "moldwright/pipeline/tables"

// Limit is the range in which the values of a column are believed, in words.
type Limit struct {
	Column    string // table and column: casts.wall
	Unit      string // "" for counts and shares of one
	Low, High string
}

// Limits lists the ranges in the order of the tables and their columns.
func Limits() []Limit {
	var out []Limit
	for _, t := range tables.Inputs() {
		for _, c := range t.Columns {
			l, ok := limits[t.Name+"."+c.Name]
			if !ok {
				continue
			}
			low := brief(l.low)
			if l.zero {
				low = "0, or " + low
			}
			out = append(out, Limit{Column: t.Name + "." + c.Name, Unit: c.Unit, Low: low, High: brief(l.high)})
		}
	}
	return out
}
