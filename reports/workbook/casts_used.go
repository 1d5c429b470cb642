package workbook

import "moldwright/pipeline/tables"

// Words of the action column of casts.
const (
	oddWords     = "far off"
	oddishWords  = "somewhat off"
	fullWeight   = 0.995 // weights above it read as 1.00
	littleWeight = 0.5   // below it a cast is far off
)

// castsUsed lists the casts that the wall law was fitted to.
func (b *book) castsUsed() {
	rows := b.res.Wall.Used
	if len(rows) == 0 {
		return
	}
	in := b.written()
	s, _ := openTable(b, page{
		name: castsSheet, title: "The casts behind the wall law", wide: true,
		note: "One row a cast, mold by mold, with the place where it was read. A weight below 1 means that the wall lies so far from the law that the cast counts for less: look whether wall or dwell was mistyped. Nothing was deleted.",
	}, table[tables.CastUsed]{
		name: "casts_table", full: "tables/casts_used.csv", columns: castColumns(in), rows: rows, long: true,
		marks: []mark{
			{on: "Look at", words: oddWords, columns: []string{"Look at", in.ofLength("Wall")}, tone: toneAct},
			{on: "Look at", words: oddishWords, columns: []string{"Look at"}, tone: toneSoon},
		},
	})
	s.close()
}

func castColumns(in written) []column[tables.CastUsed] {
	type row = tables.CastUsed
	return []column[row]{
		{head: "Mold", value: func(r row) value { return words(r.Mold) }},
		{head: "Date", value: func(r row) value { return in.day(r.Date) }},
		{head: "Casts made before", value: func(r row) value { return count(r.AgeCasts) }},
		{head: "Dwell (min)", value: func(r row) value { return dwellMin(r.DwellMin) }},
		{head: in.ofLength("Wall"), value: func(r row) value { return in.wall(r.WallMM) }},
		{head: in.ofLength("Wall by the law"), value: func(r row) value { return in.wall(r.FittedMM) }},
		{head: "Off by (standard deviations)", value: func(r row) value { return fixed(r.ResidualZ, 1) }},
		{head: "Weight", value: func(r row) value { return weight(r.Weight) }},
		{head: "Look at", value: func(r row) value { return words(castWords(r)) }},
		{head: "File", most: 30, value: func(r row) value { return words(r.File) }},
		{head: "Sheet", value: func(r row) value { return words(r.Sheet) }},
		{head: "Row", value: func(r row) value { return count(r.Row) }},
	}
}

func castWords(r tables.CastUsed) string {
	switch {
	case !known(r.Weight) || r.Weight >= fullWeight:
		return ""
	case r.Weight < littleWeight:
		return oddWords
	}
	return oddishWords
}

// weight shows a weight in hundredths, a small one to its first digit: it is never nothing.
func weight(w float64) value {
	if w < 0.01 {
		return significant(w, 1)
	}
	return fixed(w, 2)
}
