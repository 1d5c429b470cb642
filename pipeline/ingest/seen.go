package ingest

// seen finds the first of things that are equal, by a hash of each. It is a
// table with open places, several times faster for millions of rows than a map
// of lists.
type seen struct {
	places []int32  // index in hashes plus 1, 0 for an open place
	hashes []uint64 // in order of entry
	items  []int32
}

func newSeen(expect int) *seen {
	size := 16
	for size < 2*expect {
		size *= 2
	}
	return &seen{places: make([]int32, size), hashes: make([]uint64, 0, expect), items: make([]int32, 0, expect)}
}

// first gives the first item that has the hash and is the same; where there is
// none, item is entered and found is false.
func (s *seen) first(hash uint64, item int, same func(other int) bool) (other int, found bool) {
	if 2*len(s.hashes) >= len(s.places) {
		s.grow()
	}
	mask := uint64(len(s.places) - 1)
	at := hash & mask
	for ; s.places[at] != 0; at = (at + 1) & mask {
		k := s.places[at] - 1
		if s.hashes[k] == hash && same(int(s.items[k])) {
			return int(s.items[k]), true
		}
	}
	s.hashes = append(s.hashes, hash)
	s.items = append(s.items, int32(item))
	s.places[at] = int32(len(s.hashes))
	return 0, false
}

func (s *seen) grow() {
	s.places = make([]int32, 2*len(s.places))
	mask := uint64(len(s.places) - 1)
	for k, hash := range s.hashes {
		at := hash & mask
		for s.places[at] != 0 {
			at = (at + 1) & mask
		}
		s.places[at] = int32(k + 1)
	}
}
