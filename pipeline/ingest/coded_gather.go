package ingest

import (
	"context"
	"slices"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/tables"
)

// gather puts the values of the rows that stay into the pack, one column beside the
// other on all cores.
func (c *coded) gather(ctx context.Context, gone []int, extras []uint64, spent bool) error {
	bounds := append(append([]int{c.b.from - 1}, gone...), c.b.to)
	tasks := c.tasks(bounds, spent)
	inTurns(len(tasks), func(k int) {
		if ctx.Err() == nil {
			tasks[k]()
		}
	})
	if err := ctx.Err(); err != nil {
		return err
	}
	var numbers []int32
	if !slices.ContainsFunc(extras, func(x uint64) bool { return x != 0 }) {
		extras = nil
	}
	c.eachChunk(bounds, func(from, to int) {
		numbers = numbers[:0]
		for i := from; i < to; i++ {
			numbers = append(numbers, int32(c.b.sheet.Number(i)))
		}
		var own []uint64
		if extras != nil {
			own, extras = extras[:to-from], extras[to-from:]
		}
		c.shelf.pack.Filled(c.b.index, numbers, own)
	})
	if spent {
		c.b.sheet.Forget(c.b.from, c.b.to)
	}
	return nil
}

// eachChunk calls f for all rows between bounds, which ascend and are none themselves,
// some thousand at a time.
func (c *coded) eachChunk(bounds []int, f func(from, to int)) {
	for k := range len(bounds) - 1 {
		for from := bounds[k] + 1; from < bounds[k+1]; from += roomForCodes {
			f(from, min(from+roomForCodes, bounds[k+1]))
		}
	}
}

// tasks are the columns of the pack that get values, those first that take longest.
func (c *coded) tasks(bounds []int, spent bool) []func() {
	var first, rest []func()
	for _, k := range c.single {
		decl := c.b.columns[k].match.column
		if c.rows.known[k] == nil {
			first = append(first, func() {
				c.gatherOnce(decl, k, bounds)
				if spent {
					c.b.sheet.DropColumn(c.b.columns[k].at) // its texts take more room than all others
				}
			})
			continue
		}
		isDay := c.b.table.Columns[decl].Kind == tables.KindDate && c.rows.timeFrom >= 0
		rest = append(rest, func() { c.gatherCoded(decl, k, bounds, c.valuesOf(decl, k), spent && !isDay) })
		if isDay && c.b.table.Columns[decl].Name == "date" {
			rest = append(rest, func() { c.gatherCoded(c.rows.timeFrom, k, bounds, c.timesOf(k), false) })
		}
	}
	if len(c.walls) > 0 {
		first = append(first, func() { c.gatherWalls(bounds) })
	}
	for i, v := range c.b.given {
		if v.has && len(c.b.byDecl[i]) == 0 {
			rest = append(rest, func() { c.gatherSame(i, v, bounds) })
		}
	}
	return append(first, rest...)
}

// gatherCoded puts the values of a column of the block into a declared one.
func (c *coded) gatherCoded(decl, k int, bounds []int, values *tables.Coded, spent bool) {
	f := c.shelf.pack.Filling(decl, c.b.to-c.b.from)
	var room [roomForCodes]uint32
	at := c.b.columns[k].at
	c.eachChunk(bounds, func(from, to int) {
		c.b.sheet.CodesFrom(from, at, room[:to-from])
		f.Put(room[:to-from], values)
		if spent {
			c.b.sheet.ForgetColumn(at, max(c.b.from, from-grid.PageRows), to)
		}
	})
}

// valuesOf are the values of the texts of a column of the block.
func (c *coded) valuesOf(decl, k int) *tables.Coded {
	known := c.rows.known[k]
	out := &tables.Coded{}
	switch c.shelf.forms[decl] {
	case tables.HoldsText:
		out.Texts = make([]string, len(known))
	case tables.HoldsNumber, tables.HoldsList:
		out.Numbers = make([]float64, len(known))
	default:
		out.Wholes = make([]int32, len(known))
	}
	for code := range known {
		e := &known[code]
		v := &e.value
		if e.state != isRead {
			v = &value{num: tables.Absent(), day: tables.NoDate}
		}
		switch c.shelf.forms[decl] {
		case tables.HoldsText:
			out.Texts[code] = v.text
		case tables.HoldsNumber, tables.HoldsList:
			out.Numbers[code] = v.num
		case tables.HoldsDate:
			out.Wholes[code] = int32(v.day)
		case tables.HoldsCount:
			if out.Wholes[code] = int32(tables.NoCount); v.has {
				out.Wholes[code] = int32(v.num)
			}
		}
	}
	return out
}

// timesOf are the times of day that stand with the dates of a column.
func (c *coded) timesOf(k int) *tables.Coded {
	out := &tables.Coded{Numbers: make([]float64, len(c.rows.known[k]))}
	for code := range out.Numbers {
		out.Numbers[code] = tables.Absent()
		if e := &c.rows.known[k][code]; e.state == isRead && e.value.num != 0 {
			out.Numbers[code] = e.value.num
		}
	}
	return out
}

// gatherOnce puts names that hardly ever repeat into a declared column.
func (c *coded) gatherOnce(decl, k int, bounds []int) {
	f := c.shelf.pack.Filling(decl, c.b.to-c.b.from)
	own := c.b.copied()
	rows := c.rows.on(own)
	room := make([]string, roomForCodes)
	c.eachChunk(bounds, func(from, to int) {
		texts := room[:to-from]
		for i := range texts {
			if e := rows.look(own.sheet.Row(from+i), k, &own.table.Columns[decl]); e.state == isRead {
				texts[i] = e.value.text
			} else {
				texts[i] = ""
			}
		}
		f.PutTexts(texts)
	})
}

// gatherWalls puts the readings of the wall into the pack, and what they are of.
func (c *coded) gatherWalls(bounds []int) {
	decl := c.shelf.at.wall
	f := c.shelf.pack.Filling(decl, c.b.to-c.b.from)
	basis, basisText := c.basisOf(decl)
	var g *tables.Filling
	if basis >= 0 {
		g = c.shelf.pack.Filling(basis, c.b.to-c.b.from)
	}
	values := make([]*tables.Coded, len(c.walls))
	codes := make([][]uint32, len(c.walls))
	has := make([]uint32, roomForCodes)
	for j, k := range c.walls {
		values[j], codes[j] = c.valuesOf(decl, k), make([]uint32, roomForCodes)
		c.addSeveral(values[j], k)
	}
	texts := &tables.Coded{Texts: []string{"", basisText}}
	chunk := make([][]uint32, len(c.walls))
	c.eachChunk(bounds, func(from, to int) {
		n := to - from
		clear(has)
		for j, k := range c.walls {
			chunk[j] = codes[j][:n]
			c.b.sheet.CodesFrom(from, c.b.columns[k].at, chunk[j])
			for i, code := range chunk[j] {
				if values[j].Has(code) {
					has[i] = 1
				}
			}
		}
		f.PutReadings(chunk, values)
		if g != nil {
			g.Put(has[:n], texts)
		}
	})
}

// addSeveral adds the cells of several readings to the values of a column.
func (c *coded) addSeveral(values *tables.Coded, k int) {
	for code := range c.rows.known[k] {
		if e := &c.rows.known[k][code]; e.state == isSeveral && len(e.value.nums) > 0 {
			if values.Lists == nil {
				values.Lists = make([][]float64, len(values.Numbers))
			}
			values.Lists[code] = e.value.nums
		}
	}
}

// basisOf is the column that says what readings are of, -1 for none, and the word.
func (c *coded) basisOf(decl int) (basis int, text string) {
	for _, x := range c.rows.bases {
		if x.of == decl {
			return x.decl, x.text
		}
	}
	return -1, ""
}

// gatherSame puts a value that holds for all rows into a declared column.
func (c *coded) gatherSame(decl int, v value, bounds []int) {
	f := c.shelf.pack.Filling(decl, c.b.to-c.b.from)
	all := make([]string, roomForCodes)
	for i := range all {
		all[i] = v.text
	}
	c.eachChunk(bounds, func(from, to int) { f.PutTexts(all[:to-from]) })
}
