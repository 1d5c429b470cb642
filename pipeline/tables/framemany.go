package tables

// The functions that follow read a column of a large table some thousand rows at a
// time: those from one row on, as many as room holds.

// NumbersFrom gives numbers, absent where there are none.
func (f Frame[R]) NumbersFrom(column string) func(from int, room []float64) {
	if f.pack == nil {
		all := f.Numbers(column)
		return func(from int, room []float64) { copy(room, all[from:]) }
	}
	j := f.columnIndex(column)
	return func(from int, room []float64) { f.pack.NumbersFrom(j, from, room) }
}

// DatesFrom gives days, NoDate where there are none.
func (f Frame[R]) DatesFrom(column string) func(from int, room []Date) {
	if f.pack == nil {
		all := f.Dates(column)
		return func(from int, room []Date) { copy(room, all[from:]) }
	}
	j := f.columnIndex(column)
	var days []int32
	return func(from int, room []Date) {
		if len(days) < len(room) {
			days = make([]int32, len(room))
		}
		f.pack.WholesFrom(j, from, days[:len(room)])
		for i := range room {
			room[i] = Date(days[i])
		}
	}
}

// MeansFrom gives the means of readings, absent where there are none.
func (f Frame[R]) MeansFrom(column string) func(from int, room []float64) {
	if f.pack == nil {
		all := f.Lists(column)
		return func(from int, room []float64) {
			for i := range room {
				if room[i] = Absent(); len(all[from+i]) > 0 {
					room[i] = mean(all[from+i])
				}
			}
		}
	}
	j := f.columnIndex(column)
	return func(from int, room []float64) { f.pack.MeansFrom(j, from, room) }
}

// Absent reports whether a column holds nothing in any row.
func (f Frame[R]) Absent(column string) bool {
	j := f.columnIndex(column)
	switch {
	case f.pack != nil:
		return f.pack.Absent(j)
	case f.rec != nil:
		return f.rec.Column(j).NullN() == f.Len()
	}
	return true
}

// NamesFrom gives the different texts of a column, the first of which is "", and the
// places of texts among them. Texts may come twice.
func (f Frame[R]) NamesFrom(column string) (names []string, at func(from int, room []uint32)) {
	if j := f.columnIndex(column); f.pack != nil && f.pack.columns[j].form == packTexts {
		return f.pack.Names(j), func(from int, room []uint32) { f.pack.NamesFrom(j, from, room) }
	}
	names, one := f.NamesAt(column)
	return names, func(from int, room []uint32) {
		for i := range room {
			room[i] = uint32(one(from + i))
		}
	}
}
