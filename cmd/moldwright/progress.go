package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/term"
)

// progress shows on a terminal what a long run is doing, on one line that is
// overwritten. It shows nothing where w is no terminal, or quiet is set.
func progress(w io.Writer, quiet bool) (show func(what string), done func()) {
	file, ok := w.(*os.File)
	if !ok || quiet || !term.IsTerminal(int(file.Fd())) {
		return func(string) {}, func() {}
	}
	width := 78
	if cols, _, err := term.GetSize(int(file.Fd())); err == nil && cols > 10 {
		width = cols - 1
	}
	show = func(what string) {
		text := []rune(printable(oneLine(what)) + " …")
		if len(text) > width {
			text = text[:width]
		}
		fmt.Fprintf(w, "\r%s%s", string(text), strings.Repeat(" ", width-len(text)))
	}
	return show, func() { fmt.Fprintf(w, "\r%s\r", strings.Repeat(" ", width)) }
}
