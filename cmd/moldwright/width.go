package main

import (
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"golang.org/x/term"
)

const (
	plainWidth = 100 // columns where the output is no terminal
	leastWidth = 24  // columns below which nothing is laid out
)

// widthOf is the number of columns that lines may take: what the variable COLUMNS
// says, else what the terminal says.
func widthOf(w io.Writer) int {
	if n, err := strconv.Atoi(os.Getenv("COLUMNS")); err == nil && n > 0 {
		return max(n, leastWidth)
	}
	if f, ok := w.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		if cols, _, err := term.GetSize(int(f.Fd())); err == nil && cols > 0 {
			return max(cols, leastWidth)
		}
	}
	return plainWidth
}

// wrapped writes a text under a first word, in lines of at most so many columns.
// A word wider than that is cut.
func wrapped(w io.Writer, width int, lead, text string) {
	line, used := lead, len([]rune(lead))
	indent := strings.Repeat(" ", used)
	isFirst := true
	for _, word := range strings.Fields(text) {
		for n := len([]rune(word)); ; n = len([]rune(word)) {
			space := 1
			if isFirst {
				space = 0
			}
			if used+space+n <= width {
				line += strings.Repeat(" ", space) + word
				used += space + n
				isFirst = false
				break
			}
			if !isFirst { // on a line of its own
				fmt.Fprintln(w, line)
				line, used, isFirst = indent, len(indent), true
				continue
			}
			room := max(width-used, 1)
			fmt.Fprintln(w, line+string([]rune(word)[:room]))
			word = string([]rune(word)[room:])
			line, used = indent, len(indent)
		}
	}
	fmt.Fprintln(w, line)
}
