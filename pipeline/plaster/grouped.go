package plaster

// grouped are numbers by group, each group's together and in the order in which
// they were met: those of group g are all[from[g]:from[g+1]].
type grouped struct {
	from []int32
	all  []int32
}

// groupsOfValues puts each value to its group, groups being their number.
func groupsOfValues(group, values []int32, groups int) grouped {
	g := grouped{from: make([]int32, groups+1), all: make([]int32, len(values))}
	for _, k := range group {
		g.from[k+1]++
	}
	for k := range groups {
		g.from[k+1] += g.from[k]
	}
	next := append([]int32(nil), g.from...)
	for i, k := range group {
		g.all[next[k]] = values[i]
		next[k]++
	}
	return g
}

// placesBy are the places 0, 1, 2 … of things by their group.
func placesBy(group []int32, groups int) grouped {
	places := make([]int32, len(group))
	for i := range places {
		places[i] = int32(i)
	}
	return groupsOfValues(group, places, groups)
}

// of are the numbers of a group, none of one that is not there.
func (g grouped) of(k int32) []int32 {
	if int(k)+1 >= len(g.from) {
		return nil
	}
	return g.all[g.from[k]:g.from[k+1]:g.from[k+1]]
}

// each are the numbers of all groups in turn.
func (g grouped) each() [][]int32 {
	out := make([][]int32, max(0, len(g.from)-1))
	for k := range out {
		out[k] = g.of(int32(k))
	}
	return out
}
