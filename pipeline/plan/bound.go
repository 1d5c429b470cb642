package plan

import (
	"math"
	"math/bits"
	"slices"
)

// network is a flow network for the largest flow by shortest augmenting paths in
// layers (Dinic 1970, Soviet Math. Dokl. 11; from memory).
type network struct {
	to, room []int // edge e and its reverse e^1
	from     [][]int
	level    []int
	next     []int
}

func newNetwork(nodes int) *network {
	return &network{from: make([][]int, nodes), level: make([]int, nodes), next: make([]int, nodes)}
}

func (n *network) edge(a, b, room int) {
	if room <= 0 {
		return
	}
	n.from[a] = append(n.from[a], len(n.to))
	n.from[b] = append(n.from[b], len(n.to)+1)
	n.to, n.room = append(n.to, b, a), append(n.room, room, 0)
}

func (n *network) layers(s, t int) bool {
	for i := range n.level {
		n.level[i] = -1
	}
	n.level[s] = 0
	queue := []int{s}
	for len(queue) > 0 {
		a := queue[0]
		queue = queue[1:]
		for _, e := range n.from[a] {
			if b := n.to[e]; n.room[e] > 0 && n.level[b] < 0 {
				n.level[b] = n.level[a] + 1
				queue = append(queue, b)
			}
		}
	}
	return n.level[t] >= 0
}

func (n *network) push(a, t, want int) int {
	if a == t {
		return want
	}
	for ; n.next[a] < len(n.from[a]); n.next[a]++ {
		e := n.from[a][n.next[a]]
		b := n.to[e]
		if n.room[e] == 0 || n.level[b] != n.level[a]+1 {
			continue
		}
		if got := n.push(b, t, min(want, n.room[e])); got > 0 {
			n.room[e] -= got
			n.room[e^1] += got
			return got
		}
	}
	return 0
}

func (n *network) largestFlow(s, t int) int {
	sum := 0
	for n.layers(s, t) {
		for i := range n.next {
			n.next[i] = 0
		}
		for got := n.push(s, t, math.MaxInt); got > 0; got = n.push(s, t, math.MaxInt) {
			sum += got
		}
	}
	return sum
}

// mostPiecesInTime is the most pieces that can be ready by their due days in one
// draw, by anyone, even knowing every mold's end and every cast's result: the
// largest flow from the forms (all good casts that their molds have left) over the
// orders, the molds' fillings and the studio's days. The days between two dates
// at which something changes are one stretch, and fillings of a form are taken
// together, which can only add to it.
func mostPiecesInTime(sc scenario, draw int) int {
	sh := sc.shop
	marks := []int{0}
	for _, j := range sh.jobs {
		if j.due >= j.start {
			marks = append(marks, j.start, j.due+1)
		}
	}
	slices.Sort(marks)
	marks = slices.Compact(marks)
	stretches := len(marks) - 1
	if stretches < 1 {
		return 0
	}
	forms, jobs := len(sh.forms), len(sh.jobs)
	at := func(kind, i int) int {
		return []int{1, 1 + forms, 1 + forms + jobs, 1 + forms + jobs + forms*stretches}[kind] + i
	}
	sink := at(3, stretches)
	n := newNetwork(sink + 1)
	good, fills := make([]int, forms), make([]int, forms*stretches)
	for i := range sc.molds {
		m := &sc.molds[i]
		if m.lead != nil && m.lead[draw] < 0 {
			continue
		}
		for _, w := range m.good[draw*m.words : (draw+1)*m.words] {
			good[m.form] += bits.OnesCount64(w)
		}
		for s := range stretches {
			fills[m.form*stretches+s] += min(int(m.life[draw]), sh.forms[m.form].slots*(marks[s+1]-marks[s]))
		}
	}
	for f := range forms {
		n.edge(0, at(0, f), good[f])
		for s := range stretches {
			n.edge(at(2, f*stretches+s), at(3, s), fills[f*stretches+s])
		}
	}
	for i, j := range sh.jobs {
		n.edge(at(0, j.form), at(1, i), j.pieces)
		for s := range stretches {
			if marks[s] >= j.start && marks[s+1] <= j.due+1 {
				n.edge(at(1, i), at(2, j.form*stretches+s), j.pieces)
			}
		}
	}
	for s := range stretches {
		room := 0
		for t := marks[s]; t < marks[s+1]; t++ {
			room += sh.most(draw, t)
		}
		n.edge(at(3, s), sink, room)
	}
	return n.largestFlow(0, sink)
}
