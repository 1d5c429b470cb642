package mixed

// compare notes which columns of X this row shows to be none of Z's. Mostly
// some are: the constant, and whatever has a slope that differs by group.
func (s *Sums) compare(x, z []float64) {
	for i, bits := range s.twins {
		if bits == 0 {
			continue
		}
		for k, v := range z {
			if v != x[i] {
				bits &^= 1 << k
			}
		}
		s.twins[i] = bits
	}
}

// Rows wait until there are batch of them, and are then absorbed together; but
// while the triangles are at most cached numbers, which a processor's cache
// holds, no row waits.
const (
	batch  = 16
	cached = 1 << 15
)

// settle absorbs the rows that wait. It first reads a number of each cache line
// of their groups, all independent of each other: so the processor fetches many
// lines at once, where one row after the other would wait for each: most of the
// time, with groups that no cache holds.
func (s *Sums) settle() {
	sum := 0.0
	for _, g := range s.owners {
		tri := s.tri[g*s.size : (g+1)*s.size]
		for at := 0; at < len(tri); at += 8 {
			sum += tri[at]
		}
		sum += tri[len(tri)-1]
		s.rows[g]++
	}
	s.touched = sum // kept, so that the reading is
	m := s.p + s.q + 1
	for i, g := range s.owners {
		s.take(s.tri[g*s.size:(g+1)*s.size], s.waiting[i*m:i*m+m])
	}
	s.owners = s.owners[:0]
}

// take absorbs a row. What Z leaves of a column of X that is one of Z's is
// nothing: exactly, not only to rounding.
func (s *Sums) take(tri, row []float64) {
	rest := absorbFirst(tri, row, s.q)
	if rest == nil {
		return
	}
	for i, bits := range s.twins {
		if bits != 0 {
			rest[i] = 0
		}
	}
	absorb(tri[len(tri)-packedLen(len(rest)):], rest)
}
