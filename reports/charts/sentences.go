package charts

import (
	"strconv"
	"strings"
)

// sentences joins those that are not empty.
func sentences(parts ...string) string {
	var kept []string
	for _, p := range parts {
		if p != "" {
			kept = append(kept, p)
		}
	}
	return strings.Join(kept, " ")
}

// counted writes a number with its noun: "1 cast", "3 casts".
func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return itoa(n) + " " + many
}

func itoa(n int) string { return strconv.Itoa(n) }

// listed joins the first few items of an alternative text and counts the rest,
// so that it stays short enough to be read out.
func listed(items []string, most int, rest string) string {
	if len(items) <= most {
		return strings.Join(items, " ")
	}
	return strings.Join(items[:most], " ") + " " + strconv.Itoa(len(items)-most) + " more " + rest + "."
}

// offScale tells how many points lie off the axes.
func offScale(n int, one, many string) string {
	switch n {
	case 0:
		return ""
	case 1:
		return "1 " + one + " lies off the scale: see the arrow at the edge."
	}
	return strconv.Itoa(n) + " " + many + " lie off the scale: see the arrows at the edges."
}

// leftOut tells what a chart has no room for.
func leftOut(shown, all int, what, where string) string {
	if shown >= all {
		return ""
	}
	return "Shown are " + strconv.Itoa(shown) + " of " + strconv.Itoa(all) + " " + what + "; the others are in " + where + "."
}
