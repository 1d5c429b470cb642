package mixed

import (
	"math"

	"moldwright/pipeline/stats/chunks"
)

// lean is how a kernel keeps the rows U of groups that know few columns: in the
// coordinates of X̃ a group's rows are other than 0 in its own columns and in
// those that columns of X̃ draw them into, which are few where columns hardly
// overlap.
type lean struct {
	patterns []leanPattern
	pattern  []int32 // of each group with rows
	at       []int   // where its q rows begin in u
	blocks   *Blocks
	group    []int32                // its place in blocks
	again    func(g int, of *Block) // makes a group's block anew whose triangle was given up, see Forget
}

type leanPattern struct {
	columns []int // of X̃, ascending; y comes behind them
}

func newLeanKernel(b *Blocks, base *basis, c Criterion, groups int) *kernel {
	k := &kernel{p: b.p, q: b.q, w: b.p + 1, nu: float64(b.n), restricted: c == REML, groups: groups}
	l := &lean{blocks: b, at: make([]int, 1, groups+1)}
	k.lean = l
	turn := invertUpper(base.rx, b.p, b.p)
	size := 0
	for _, columns := range b.patterns {
		l.patterns = append(l.patterns, leanPattern{reached(turn, b.p, columns)})
	}
	for g, rows := range b.rows {
		if rows > 0 {
			l.pattern, l.group = append(l.pattern, b.pattern[g]), append(l.group, int32(g))
			size += b.q * (len(l.patterns[b.pattern[g]].columns) + 1)
			l.at = append(l.at, size)
		}
	}
	k.a, k.u = make([]float64, groups*b.q*b.q), make([]float64, size)
	small := b.turns(base, turn, l)
	ranks := make([]int, chunksOf(groups))
	inChunks(groups, func(chunk, from, to int) {
		for at := from; at < to; at++ {
			ranks[chunk] += k.setGroup(at, base, small)
		}
	})
	for _, r := range ranks {
		k.rankZ += r
	}
	k.setRest(base, b.logW)
	return k
}

// reached are the columns j of X̃ with x̃_j other than 0 for rows of X that are
// other than 0 in the given columns.
func reached(turn []float64, p int, columns []int) (out []int) {
	for j := range p {
		for _, i := range columns {
			if i <= j && turn[i*p+j] != 0 {
				out = append(out, j)
				break
			}
		}
	}
	return out
}

// turns are, by pattern, Rx⁻¹ between the columns of X and those reached, and
// what y loses to each column.
func (b *Blocks) turns(base *basis, turn []float64, l *lean) []turned {
	out := make([]turned, len(b.patterns))
	for k, columns := range b.patterns {
		for _, i := range columns {
			for _, j := range l.patterns[k].columns {
				v := 0.0
				if i <= j {
					v = turn[i*b.p+j]
				}
				out[k].by = append(out[k].by, v)
			}
			out[k].ols = append(out[k].ols, base.ols[i])
		}
	}
	return out
}

type turned struct{ by, ols []float64 }

// setGroup fills in a group's A and U, and returns the rank of its Z.
func (k *kernel) setGroup(at int, base *basis, small []turned) int {
	q, l := k.q, k.lean
	b := l.blocks
	pattern := l.pattern[at]
	from := b.tris[l.group[at]]
	n, wide, t := len(b.patterns[pattern]), len(l.patterns[pattern].columns), &small[pattern]
	m := q + n + 1
	var a square3
	for i := range q {
		for j := i; j < q; j++ {
			a[i*q+j] = from[j-i]
		}
		x := from[q-i : m-i]
		row := k.u[l.at[at]+i*(wide+1):][:wide+1]
		y := x[n]
		for h, v := range x[:n] {
			if v == 0 {
				continue
			}
			y -= v * t.ols[h]
			for j, c := range t.by[h*wide : (h+1)*wide] {
				row[j] += v * c
			}
		}
		row[wide] = y / base.scale
		from = from[m-i:]
	}
	into := k.a[at*q*q : (at+1)*q*q]
	for i := range q { // A T
		for j := range q {
			v := 0.0
			for h := max(i, j); h < q; h++ {
				v += a[i*q+h] * base.t[h*q+j]
			}
			into[i*q+j] = v
		}
	}
	return rankOf(into, q)
}

// effects spreads a group's rows U over all columns.
func (l *lean) effects(k *kernel, at int, out []float64) {
	columns := l.patterns[l.pattern[at]].columns
	rows := k.u[l.at[at]:l.at[at+1]]
	for i := range k.q {
		row := rows[i*(len(columns)+1):][:len(columns)+1]
		for j, c := range columns {
			out[i*k.w+c] = row[j]
		}
		out[i*k.w+k.p] = row[len(columns)]
	}
}

// below spreads each row of a group's triangle Q over all columns of [X y].
func (l *lean) below(at, q int, row []float64, do func()) {
	b, g := l.blocks, l.group[at]
	columns := b.patterns[b.pattern[g]]
	tri := b.tris[g]
	if tri == nil {
		var block Block
		l.again(int(g), &block)
		tri = block.made.Triangle(nil)
	}
	spread(tri[len(tri)-packedLen(len(columns)+1):], columns, row, do)
}

// whitened writes L⁻¹A and L⁻¹U of a group, and returns |L|.
func (k *kernel) whitened(at int, lam, wa *square3, rows []float64) float64 {
	q := k.q
	a := k.a[at*q*q : (at+1)*q*q]
	var kk, l square3
	for i := range q {
		for j := range q {
			v := 0.0
			for h := range q {
				v += a[i*q+h] * lam[h*q+j]
			}
			kk[i*q+j] = v
		}
	}
	det := rootOfOnePlus(&l, &kk, q)
	copy(wa[:], a)
	solveLower(&l, q, wa[:q*q], q)
	copy(rows, k.u[k.lean.at[at]:k.lean.at[at+1]])
	solveLower(&l, q, rows, len(rows)/q)
	return det
}

// whitenLean is whiten: sums by pattern, in chunks of fixed size that are added
// up in order.
func (k *kernel) whitenLean(st *state, lam *square3) float64 {
	l, q := k.lean, k.q
	if q == 0 {
		copy(st.s, k.fixed)
		return 0
	}
	offsets := make([]int, len(l.patterns)+1)
	widest := 0
	for i, p := range l.patterns {
		n := len(p.columns) + 1
		offsets[i+1], widest = offsets[i]+n*n, max(widest, n)
	}
	type part struct {
		s      []float64
		logDet float64
	}
	parts := make([]part, chunksOf(k.groups))
	inChunks(k.groups, func(chunk, from, to int) {
		p := part{s: make([]float64, offsets[len(offsets)-1])}
		product := 1.0
		var wa square3
		rows := make([]float64, q*widest)
		for at := from; at < to; at++ {
			pattern := l.pattern[at]
			n := len(l.patterns[pattern].columns) + 1
			product *= k.whitened(at, lam, &wa, rows[:q*n])
			if product > 1e100 {
				p.logDet, product = p.logDet+math.Log(product), 1
			}
			into := p.s[offsets[pattern]:offsets[pattern+1]]
			if q == 2 {
				addSquares(into, rows[:n], rows[n:2*n])
				continue
			}
			for i := range q {
				addSquare(into, rows[i*n:(i+1)*n])
			}
		}
		p.logDet += math.Log(product)
		parts[chunk] = p
	})
	copy(st.s, k.fixed)
	logDet := 0.0
	for _, p := range parts {
		logDet += p.logDet
		for i, pattern := range l.patterns {
			k.spreadSquare(st.s, p.s[offsets[i]:offsets[i+1]], pattern.columns)
		}
	}
	return 2 * logDet
}

// spreadSquare adds the upper triangle of a square of a pattern's columns and y.
func (k *kernel) spreadSquare(s, small []float64, columns []int) {
	n := len(columns)
	for i := range n + 1 {
		row := k.p
		if i < n {
			row = columns[i]
		}
		for j := i; j < n; j++ {
			s[row*k.w+columns[j]] += small[i*(n+1)+j]
		}
		s[row*k.w+k.p] += small[i*(n+1)+n]
	}
}

// deriveLean is derive. Rxx⁻¹ reaches no further from a pattern's columns than
// the pattern does.
func (k *kernel) deriveLean(st *state, lam *square3, weight float64) {
	l, q := k.lean, k.q
	if q == 0 {
		return
	}
	inverse, border, widest := make([][]float64, len(l.patterns)), make([][]float64, len(l.patterns)), 0
	for i, p := range l.patterns {
		n := len(p.columns)
		widest = max(widest, n+1)
		inverse[i], border[i] = make([]float64, 0, n*n), make([]float64, 0, n)
		for _, a := range p.columns {
			border[i] = append(border[i], st.root[a*k.w+k.p])
			for _, b := range p.columns {
				inverse[i] = append(inverse[i], st.inv[a*k.p+b])
			}
		}
	}
	sums := make([]square3, chunksOf(k.groups))
	inChunks(k.groups, func(chunk, from, to int) {
		rows, t := make([]float64, q*widest), make([]float64, q*widest)
		var wa square3
		for at := from; at < to; at++ {
			pattern := l.pattern[at]
			n := len(l.patterns[pattern].columns)
			k.whitened(at, lam, &wa, rows[:q*(n+1)])
			var e [MaxRandom]float64
			for i := range q {
				row := rows[i*(n+1) : (i+1)*(n+1)]
				timesUpper(t[i*n:(i+1)*n], row[:n], inverse[pattern])
				e[i] = row[n] - dot(t[i*n:(i+1)*n], border[pattern])
			}
			k.addDerivative(&sums[chunk], &wa, t, n, &e, weight)
		}
	})
	st.m = square3{}
	for _, s := range sums {
		for i, v := range s {
			st.m[i] += v
		}
	}
	for i := range q {
		for j := range i {
			st.m[j*q+i] = st.m[i*q+j]
		}
	}
}

// addDerivative adds a group's A'L⁻ᵀ (I − tt' − weight·ee') L⁻¹A, its lower
// triangle.
func (k *kernel) addDerivative(sum, wa *square3, t []float64, n int, e *[MaxRandom]float64, weight float64) {
	q := k.q
	var mid square3
	for i := range q {
		for j := range i + 1 {
			v := -weight * e[i] * e[j]
			if k.restricted {
				v -= dot(t[i*n:(i+1)*n], t[j*n:(j+1)*n])
			}
			mid[i*q+j], mid[j*q+i] = v, v
		}
		mid[i*q+i]++
	}
	for h := range q {
		for d := range q {
			v := 0.0
			for i := range q {
				v += mid[h*q+i] * wa[i*q+d]
			}
			for j := range d + 1 {
				sum[d*q+j] += wa[h*q+j] * v
			}
		}
	}
}

// chunkGroups is how many groups are added up together: fixed, so that sums are
// the same on any number of cores.
const chunkGroups = 2048

func chunksOf(groups int) int { return chunks.Count(groups, chunkGroups) }

// inChunks does the chunks on all cores.
func inChunks(groups int, do func(chunk, from, to int)) { chunks.Each(groups, chunkGroups, do) }
