package mixed

import "math"

// square3 is a q×q matrix, row-major with stride q, q ≤ MaxRandom.
type square3 [MaxRandom * MaxRandom]float64

// kernel holds what an evaluation of the criterion reads: for each group with
// rows its blocks A and U in the coordinates of the basis.
type kernel struct {
	p, q, w    int // w = p+1
	groups     int // with rows
	nu         float64
	restricted bool
	a          []float64 // q×q a group
	u          []float64 // q×w a group
	fixed      []float64 // w×w, Σ Q'Q: upper triangle
	base       float64   // the part of the criterion that θ and σ leave alone
	rankZ      int       // Σ over groups of the rank of Z_g
	lean       *lean     // how u is kept where each group knows a few columns only; nil where it knows all
}

func newKernel(s *Sums, b *basis, c Criterion) *kernel {
	k := &kernel{p: s.p, q: s.q, w: s.p + 1, nu: float64(s.n), restricted: c == REML}
	q, m := k.q, k.q+k.w
	k.a, k.u = make([]float64, 0, len(s.rows)*q*q), make([]float64, 0, len(s.rows)*q*k.w)
	each(s, func(_ int, from []float64) {
		var a square3
		for i := range q {
			for j := i; j < q; j++ {
				a[i*q+j] = from[j-i]
			}
			row := append(k.u, from[q-i:m-i]...)
			k.u = row
			b.turn(row[len(row)-k.w:])
			from = from[m-i:]
		}
		for i := range q { // A T
			for j := range q {
				v := 0.0
				for h := max(i, j); h < q; h++ {
					v += a[i*q+h] * b.t[h*q+j]
				}
				k.a = append(k.a, v)
			}
		}
		k.rankZ += rankOf(k.a[k.groups*q*q:], q)
		k.groups++
	})
	k.setRest(b, s.logW)
	return k
}

// setRest fills in what does not depend on single groups.
func (k *kernel) setRest(b *basis, logW float64) {
	inside := append([]float64(nil), b.inside...)
	k.fixed = make([]float64, k.w*k.w)
	for i := range k.w {
		row := inside[i*k.w : (i+1)*k.w]
		b.turn(row)
		addSquare(k.fixed, row)
	}
	k.base = -logW + 2*k.nu*math.Log(b.scale) + k.nu*math.Log(2*math.Pi)
	if k.restricted {
		k.nu -= float64(k.p)
		k.base = -logW + b.logRx + 2*k.nu*math.Log(b.scale) + k.nu*math.Log(2*math.Pi)
	}
}

// sample is a kernel of so many of the groups, evenly chosen, with the same
// share of the rest: its optimum is near that of all. Of its numbers only those
// that an evaluation reads are set.
func (k *kernel) sample(groups int) *kernel {
	share := float64(groups) / float64(k.groups)
	out := &kernel{p: k.p, q: k.q, w: k.w, groups: groups, nu: share * k.nu, restricted: k.restricted}
	if k.lean != nil {
		out.lean = &lean{patterns: k.lean.patterns, at: []int{0}}
	}
	for i := range groups {
		g := i * k.groups / groups
		out.a = append(out.a, k.a[g*k.q*k.q:(g+1)*k.q*k.q]...)
		if k.lean != nil {
			out.lean.pattern = append(out.lean.pattern, k.lean.pattern[g])
			out.u = append(out.u, k.u[k.lean.at[g]:k.lean.at[g+1]]...)
			out.lean.at = append(out.lean.at, len(out.u))
			continue
		}
		out.u = append(out.u, k.u[g*k.q*k.w:(g+1)*k.q*k.w]...)
	}
	for _, v := range k.fixed {
		out.fixed = append(out.fixed, share*v)
	}
	return out
}

// rankOf is the rank of a group's A, on the scale of the average group.
func rankOf(a []float64, q int) (rank int) {
	if q == 1 && math.Abs(a[0]) > 1e-3 || q == 2 && math.Abs(a[0]*a[3]-a[1]*a[2]) > 1e-3*(1+a[0]*a[0]+a[1]*a[1]+a[2]*a[2]+a[3]*a[3]) {
		return q // no need to look closer
	}
	one := [MaxRandom]float64{1, 1, 1}
	_, ok := leftover(a, q, one[:q])
	for _, independent := range ok {
		if independent {
			rank++
		}
	}
	return rank
}

// addSquare adds row'row to the upper triangle of s.
func addSquare(s, row []float64) {
	w := len(row)
	for i, v := range row {
		if v == 0 {
			continue
		}
		into := s[i*w : (i+1)*w]
		for j := i; j < w; j++ {
			into[j] += v * row[j]
		}
	}
}
