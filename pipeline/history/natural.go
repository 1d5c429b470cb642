package history

import (
	"cmp"
	"strings"
)

// natural compares names as people order them: runs of digits by their number,
// so that M-9 comes before M-10.
func natural(a, b string) int {
	for a != "" && b != "" {
		na, restA := digits(a)
		nb, restB := digits(b)
		if na != "" && nb != "" {
			na, nb = strings.TrimLeft(na, "0"), strings.TrimLeft(nb, "0")
			if c := cmp.Or(cmp.Compare(len(na), len(nb)), cmp.Compare(na, nb)); c != 0 {
				return c
			}
			a, b = restA, restB
			continue
		}
		if a[0] != b[0] {
			return cmp.Compare(a[0], b[0])
		}
		a, b = a[1:], b[1:]
	}
	return cmp.Compare(len(a), len(b))
}

// digits splits the leading run of digits off s.
func digits(s string) (run, rest string) {
	i := 0
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	return s[:i], s[i:]
}
