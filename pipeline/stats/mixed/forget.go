package mixed

// Forget gives up what the model holds of groups only to leave them out, which is
// most of what it holds. Groups that keep names stay as they are; of the others
// again makes the block anew, the same to the bit, each time that one is left out.
// It is for models of FitBlocks; others do not change. No goroutine may use the
// model meanwhile.
func (m *Model) Forget(keep func(g int) bool, again func(g int, of *Block)) {
	l := m.k.lean
	if l == nil {
		return
	}
	b := *l.blocks // whoever made the blocks keeps theirs
	b.slab, b.tris = nil, make([][]float64, len(l.blocks.tris))
	for g, tri := range l.blocks.tris {
		if tri == nil || !keep(g) {
			continue
		}
		// The rows of the group's own effects are in U already.
		size := packedLen(len(b.patterns[b.pattern[g]]) + 1)
		if cap(b.slab)-len(b.slab) < size {
			b.slab = make([]float64, 0, slabGroups*size)
		}
		from := len(b.slab)
		b.slab = append(b.slab, tri[len(tri)-size:]...)
		b.tris[g] = b.slab[from:len(b.slab):len(b.slab)]
	}
	l.blocks, l.again = &b, again
}
