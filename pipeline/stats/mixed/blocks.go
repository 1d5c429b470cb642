package mixed

import (
	"fmt"
	"math"
)

// Blocks collects what Sums collects, for many groups of which each knows few of
// the columns of X: the indicator of its own kind, not that of a hundred others.
// A group's pattern lists the columns that may be other than 0 in its rows, and
// only their triangle is kept, (n+q+1)(n+q+2)/2 numbers. Groups are appended
// whole, in order.
type Blocks struct {
	p, q     int
	patterns [][]int // columns of X, ascending
	pattern  []int32 // of each group
	rows     []int32 // of each group
	tris     [][]float64
	slab     []float64 // where triangles are put
	n        int
	logW     float64
	priors   [][]float64 // rows [x y]
	wrong    *RowError
}

// NewBlocks returns empty blocks for p fixed and q random effects and patterns
// of columns of X, each ascending.
func NewBlocks(p, q int, patterns [][]int) *Blocks {
	if p < 0 || q < 0 || q > MaxRandom {
		panic(fmt.Sprintf("mixed: %d fixed and %d random effects; the package is for p ≥ 0 and q = 0..%d", p, q, MaxRandom))
	}
	return &Blocks{p: p, q: q, patterns: patterns}
}

// Block is one group as it is read, in the columns of a pattern. It is scratch
// that may be used for one group after the other.
type Block struct {
	q, n  int
	rows  int
	logW  float64
	wrong bool
	made  Reducer
}

// Begin empties it for a group of n columns and q random effects.
func (g *Block) Begin(n, q int) {
	g.n, g.q, g.rows, g.logW, g.wrong = n, q, 0, 0, false
	g.made.Reset(n + q + 1)
}

// Add takes in a row as Sums.Add does, x holding the columns of the pattern.
func (g *Block) Add(x, z []float64, y, w float64) {
	if w == 0 {
		return
	}
	root := 1.0
	if w != 1 {
		root = math.Sqrt(w)
		g.logW += math.Log(w)
	}
	row := g.made.Row()
	for i, v := range z {
		row[i] = root * v
	}
	rest := row[g.q:]
	for i, v := range x {
		rest[i] = root * v
	}
	rest[g.n] = root * y
	for _, v := range row {
		if !(math.Abs(v) < tooLarge) {
			g.wrong = true
		}
	}
	g.rows++
}

// slabGroups is how many triangles are kept in one piece of memory.
const slabGroups = 32

// Append enters the next group, which has no rows where the block has none.
func (b *Blocks) Append(pattern int, g *Block) {
	if len(b.patterns[pattern]) != g.n || g.q != b.q {
		panic("mixed: a block of another shape than its pattern")
	}
	if g.wrong && b.wrong == nil {
		b.wrong = &RowError{Row: b.n, Group: len(b.rows), What: "one of the group's rows holds a number that is missing, infinite or too large, or a negative weight"}
	}
	var tri []float64
	if g.rows > 0 {
		size := packedLen(g.n + g.q + 1)
		if cap(b.slab)-len(b.slab) < size {
			b.slab = make([]float64, 0, slabGroups*size)
		}
		from := len(b.slab)
		b.slab = g.made.Triangle(b.slab)
		tri = b.slab[from:len(b.slab):len(b.slab)]
	}
	b.pattern, b.rows, b.tris = append(b.pattern, int32(pattern)), append(b.rows, int32(g.rows)), append(b.tris, tri)
	b.n += g.rows
	b.logW += g.logW
}

// Join appends the groups of other, which has the same patterns. They share the
// memory of their triangles from then on.
func (b *Blocks) Join(other *Blocks) {
	if other.wrong != nil && b.wrong == nil {
		late := *other.wrong
		late.Row, late.Group = late.Row+b.n, late.Group+len(b.rows)
		b.wrong = &late
	}
	b.pattern, b.rows, b.tris = append(b.pattern, other.pattern...), append(b.rows, other.rows...), append(b.tris, other.tris...)
	b.n += other.n
	b.logW += other.logW
	b.priors = append(b.priors, other.priors...)
}

// Prior takes in what is believed of the fixed effects, as Sums.AddPrior does; x
// has all p columns.
func (b *Blocks) Prior(x []float64, y float64) {
	b.priors = append(b.priors, append(append([]float64(nil), x...), y))
}

// N is the number of rows, those of weight 0 apart.
func (b *Blocks) N() int { return b.n }

// FitBlocks is FitFrom for blocks. The model keeps them: they must not be
// changed after it. Each evaluation of the criterion costs groups and their own
// columns, on all cores; the result is the same for any number of them.
func FitBlocks(b *Blocks, c Criterion, like *Model) (*Model, error) {
	k, basis, err := b.prepare(c)
	if err != nil {
		return nil, fmt.Errorf("mixed model not fitted: %w", err)
	}
	h := &hunt{k: k, st: k.newState()}
	var best found
	if b.q > 0 {
		if best, err = h.near(basis, like); err != nil {
			return nil, fmt.Errorf("mixed model not fitted: %w", err)
		}
	}
	m := newModelOf(b.n, c, k, basis, h, best)
	m.slot, m.rows = make([]int, len(b.rows)), make([]int, len(b.rows))
	at := 0
	for g, rows := range b.rows {
		m.rows[g], m.slot[g] = int(rows), -1
		if rows > 0 {
			m.slot[g] = at
			at++
		}
	}
	return m, nil
}

func (b *Blocks) prepare(c Criterion) (*kernel, *basis, error) {
	groups := 0
	for _, rows := range b.rows {
		if rows > 0 {
			groups++
		}
	}
	if b.wrong != nil {
		return nil, nil, b.wrong
	}
	if err := enoughOf(b.n, b.p, b.q, groups); err != nil {
		return nil, nil, err
	}
	base := &basis{p: b.p, q: b.q}
	inside, all, effects := b.pool()
	if err := base.set(inside, all, b.n, effects, groups); err != nil {
		return nil, nil, err
	}
	k := newLeanKernel(b, base, c, groups)
	if b.n <= k.rankZ {
		return nil, nil, fmt.Errorf("%w (%d rows, %d groups, %d random effects)", ErrNoSpare, b.n, k.groups, b.q)
	}
	return k, base, base.scatter(b.n)
}

// pool gathers the triangles of all groups, first by pattern: as basis.pool and
// basis.poolRandom.
func (b *Blocks) pool() (inside, all, effects []float64) {
	q, w := b.q, b.p+1
	below, above := make([]Reducer, len(b.patterns)), make([]Reducer, len(b.patterns))
	for i, columns := range b.patterns {
		below[i].Reset(len(columns) + 1)
		above[i].Reset(len(columns) + 1)
	}
	effects = make([]float64, packedLen(q))
	back := make([]float64, q)
	for g, rows := range b.rows {
		if rows == 0 {
			continue
		}
		pattern, from := b.pattern[g], b.tris[g]
		m := q + len(b.patterns[pattern]) + 1
		for i := range m {
			row := from[:m-i]
			from = from[m-i:]
			if i < q {
				copy(above[pattern].Row(), row[q-i:])
				clear(back)
				for j, v := range row[:q-i] {
					back[q-1-i-j] = v
				}
				absorb(effects, back)
				continue
			}
			into := below[pattern].Row()
			clear(into[:i-q])
			copy(into[i-q:], row)
		}
	}
	tri, row := make([]float64, packedLen(w)), make([]float64, w)
	for i, columns := range b.patterns {
		spread(below[i].Triangle(nil), columns, row, func() { absorb(tri, row) })
	}
	for _, prior := range b.priors {
		copy(row, prior)
		absorb(tri, row)
	}
	inside = square(tri, w)
	for i, columns := range b.patterns {
		spread(above[i].Triangle(nil), columns, row, func() { absorb(tri, row) })
	}
	return inside, square(tri, w), effects
}

// spread writes each row of a packed triangle of the columns of a pattern and y
// into a row of all columns and y.
func spread(tri []float64, columns []int, row []float64, do func()) {
	n := len(columns)
	for i := range n + 1 {
		clear(row)
		for j := i; j < n; j++ {
			row[columns[j]] = tri[j-i]
		}
		row[len(row)-1] = tri[n-i]
		tri = tri[n+1-i:]
		do()
	}
}
