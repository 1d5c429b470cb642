package ingest

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func spelled(listed, used string) []spelling {
	var out []spelling
	for _, n := range strings.Split(listed, "|") {
		if n != "" {
			out = append(out, spelling{n, true})
		}
	}
	for _, n := range strings.Split(used, "|") {
		if n != "" {
			out = append(out, spelling{n, false})
		}
	}
	return out
}

func TestSpellingsOfOneThing(t *testing.T) {
	for _, c := range []struct {
		d            domain
		listed, used string
		want         string // what becomes of the used ones
		doubts       string
	}{
		{ofMolds, "M-07|M-08", "m7|M07|M 7|Mold 7|#7|7|mould no. 7|M.07|Mold M-07|m-007", strings.Repeat("M-07|", 9) + "M-07", ""},
		{ofMolds, "A7|B7", "7|a-7|B 07", "7|A7|B7", "7: A7, B7"},
		{ofMolds, "M-07|M07", "m7|M-07 ", "m7|M-07", "m7: M-07, M07"},
		{ofMolds, "M-07|Mold 7", "m 7|7", "M-07|Mold 7", ""},
		{ofMolds, "7|8", "M-07|Mold 8", "7|8", ""},
		{ofMolds, "A1|A2|A3", "2|m2|#3", "A2|m2|A3", ""},
		{ofMolds, "A1|B2", "2|m2", "2|m2", "2: B2"},
		{ofMolds, "A1", "1", "1", "1: A1"},
		{ofMolds, "", "M-07|m7|7|B7", "M-07|M-07|7|B7", ""},
		{ofMolds, "", "7|007|Mold 7|#7", "7|7|7|7", ""},
		{ofMolds, "M-1-2|M-12", "m1 2|m12|M 1.2", "M-1-2|M-12|M-1-2", ""},
		{ofMolds, "A|A+|A'", "a|a +|A 1", "A|A+|A 1", ""},
		{ofMolds, "cup mold|cup", "Cup|Cup Mold", "cup|cup mold", ""},
		{ofMolds, "M-07", "M-70|M-7A|N-07|X7", "M-70|M-7A|N-07|X7", ""},
		{ofMolds, "M-07|P-07", "7|M7|p7", "7|M-07|P-07", "7: M-07, P-07"},
		{ofMolds, "A7|B7", "Mold 7|7|#7", "Mold 7|Mold 7|Mold 7", "Mold 7: A7, B7"},
		{ofPours, "P1|P2", "pour 2|2|Batch 1|b1", "P2|P2|P1|P1", ""},
		{ofSlips, "S-12", "slip 12|batch 12|S12", "S-12|S-12|S-12", ""},
		{ofForms, "Cup|Bowl", "CUP|bowl |Cup 2", "Cup|Bowl|Cup 2", ""},
		{ofClasses, "", "3A|class 3a|3-A", "3A|3A|3A", ""},
		{ofMakers, "", "K.|k|A B", "K.|K.|A B", ""},
		{ofMolds, "mold|no|-", "Mold|NO", "mold|no", ""},
	} {
		joined, doubts := joinNames(c.d, spelled(c.listed, c.used))
		var got, asked []string
		for _, n := range strings.Split(c.used, "|") {
			if to, ok := joined[n]; ok {
				n = to
			}
			got = append(got, n)
		}
		for _, x := range doubts {
			asked = append(asked, x.name+": "+strings.Join(x.could, ", "))
		}
		require.Equal(t, c.want, strings.Join(got, "|"), "%s of %s", c.used, c.listed)
		require.Equal(t, c.doubts, strings.Join(asked, "; "), "%s of %s", c.used, c.listed)
	}
}

// Which names are one does not depend on their order; names that are listed as
// two stay two; and what has been joined is not joined again.
func TestJoiningNamesIsSafe(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	words := []string{"M", "m-", "Mold ", "mould no. ", "#", "", "A", "B-", "a ", "X", "slip ", "ml"}
	for range 3000 {
		var names []spelling
		for _, i := range rng.Perm(60)[:2+rng.IntN(10)] {
			names = append(names, spelling{words[i%len(words)] + fmt.Sprintf([]string{"%d", "%02d"}[i%2], i/len(words)), rng.IntN(3) == 0})
		}
		sort := func() {
			slices.SortStableFunc(names, func(a, b spelling) int {
				return map[bool]int{true: 0, false: 1}[a.listed] - map[bool]int{true: 0, false: 1}[b.listed]
			})
		}
		sort()
		joined, _ := joinNames(ofMolds, names)
		classes := classesOf(names, joined)
		kept := map[string]bool{}
		for _, s := range names {
			to, changed := joined[s.name]
			require.False(t, changed && joined[to] != "", "%v: %s", names, s.name)
			if s.listed && changed {
				require.Equal(t, nameKey(s.name), nameKey(to), "%v", names)
			}
			if !changed {
				to = s.name
			}
			kept[to] = true
		}
		var after []spelling
		for _, s := range names {
			if kept[s.name] {
				after = append(after, s)
			}
		}
		again, _ := joinNames(ofMolds, after)
		require.Empty(t, again, "%v", names)
		rng.Shuffle(len(names), func(i, k int) { names[i], names[k] = names[k], names[i] })
		sort()
		joined, _ = joinNames(ofMolds, names)
		require.Equal(t, classes, classesOf(names, joined), "%v", names)
	}
}

// classesOf lists which names are one, in an order that tells nothing else.
func classesOf(names []spelling, joined map[string]string) []string {
	sets := map[string][]string{}
	for _, s := range names {
		to := s.name
		if j, ok := joined[to]; ok {
			to = j
		}
		sets[to] = append(sets[to], s.name)
	}
	var out []string
	for set := range maps.Values(sets) {
		slices.Sort(set)
		out = append(out, strings.Join(set, "|"))
	}
	slices.Sort(out)
	return out
}

func TestSpellingsOfMoldsAreJoinedInALog(t *testing.T) {
	dir := folder(t, map[string]string{
		"casts.csv": "Date,Time,Mold,Dwell (min),Wall (mm)\n2025-03-01,9:00,m7,20,5\n2025-03-02,9:00,Mold 7,20,5\n2025-03-03,9:00,M-07,20,5\n2025-03-04,9:00,m7,20,5\n2025-03-05,9:00,9,20,5\n",
		"molds.csv": "Mold,Form\nM-07,cup\nA9,cup\nB9,cup\n",
	})
	res := readAll(t, Options{}, dir)
	require.Equal(t, []string{"M-07", "M-07", "M-07", "M-07", "9"}, res.Studio.Casts.Texts("mold"))
	p := find(t, res, CodeSpellingJoined)
	require.Equal(t, "C2", p.Cell)
	require.Contains(t, p.Message, "the mold “m7” (2 rows) was taken to be “M-07”")
	require.Contains(t, find(t, res, CodeNameUnclear).Message, "could be “A9” or “B9”")
}

func TestMoldsCastAtTheSameMomentAreTwo(t *testing.T) {
	res := readText(t, "a.csv", "Date,Time,Mold,Dwell (min),Wall (mm)\n2025-03-01,9:00,M-07,20,5\n2025-03-01,9:00,m7,22,5.4\n2025-03-02,9:00,M-08,20,5\n2025-03-03,9:00,m8,20,5\n")
	require.Equal(t, []string{"M-07", "m7", "M-08", "M-08"}, res.Studio.Casts.Texts("mold"))
}
