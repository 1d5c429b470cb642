package wall

// knownRows are rows in the columns of a design, worked out once for the many times
// that a fit asks for them.
type knownRows struct {
	x          []float64 // of all rows, one behind the other
	at         []int     // where a row's columns begin in x, and behind all where the last end
	logT       []float64 // log of min
	dwell, age []float64 // see dwellIn; casts
}

// add takes a row in for a law.
func (k *knownRows) add(l law, d *design, r *row) {
	if len(k.at) == 0 {
		k.at = append(k.at, 0)
	}
	for j := range d.columns {
		k.x = append(k.x, d.columns[j].at(r))
	}
	k.at = append(k.at, len(k.x))
	k.logT, k.dwell, k.age = append(k.logT, r.logT), append(k.dwell, dwellIn(l, r.logT)), append(k.age, r.age)
}

// forget empties it.
func (k *knownRows) forget() {
	k.x, k.at, k.logT, k.dwell, k.age = k.x[:0], k.at[:0], k.logT[:0], k.dwell[:0], k.age[:0]
}

// columns are those of row i.
func (k *knownRows) columns(i int) []float64 { return k.x[k.at[i]:k.at[i+1]] }

// logWall is that of row i by the law.
func (k *knownRows) logWall(l law, d *design, i int, beta, b, byBeta, byB []float64) float64 {
	copy(byBeta, k.columns(i))
	value, byLevel, byWear := l.whole(d, l.fixed(d, k.columns(i), k.logT[i], beta), k.dwell[i], k.age[i], b)
	d.derive(byBeta, byLevel, byWear)
	d.deriveB(byB, byLevel, byWear, k.age[i])
	return value
}

// knownRowsOf are all rows, each in the columns of its mold's sort, of being the
// place of the sort by mold; where it is nil they are all of the first sort.
func knownRowsOf(l law, in inputs, sorts []sort, of []int32) *knownRows {
	n, widest := len(in.rows), 0
	for _, s := range sorts {
		widest = max(widest, len(s.design.columns))
	}
	k := &knownRows{x: make([]float64, 0, n*widest), at: make([]int, 0, n+1)}
	k.logT, k.dwell, k.age = make([]float64, 0, n), make([]float64, 0, n), make([]float64, 0, n)
	for i := range in.rows {
		s := &sorts[0]
		if of != nil {
			s = &sorts[of[in.rows[i].mold]]
		}
		k.add(l, &s.design, &in.rows[i])
	}
	return k
}
