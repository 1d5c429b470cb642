package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/term"
)

// progress shows on a terminal what a long run is doing, on one line that is
// overwritten. It shows nothing where w is no terminal, or one that says it can't
// overwrite a line, or quiet is set. It uses no color, so that NO_COLOR has nothing
// to take away.
func progress(w io.Writer, quiet bool) (show func(what string), done func()) {
	file, ok := w.(*os.File)
	if !ok || quiet || os.Getenv("TERM") == "dumb" || !term.IsTerminal(int(file.Fd())) {
		return func(string) {}, func() {}
	}
	width := widthOf(w) - 1 // the last column would scroll
	show = func(what string) {
		text := []rune(printable(oneLine(what)) + " …")
		if len(text) > width {
			text = append(text[:width-1], '…')
		}
		fmt.Fprintf(w, "\r%s%s", string(text), strings.Repeat(" ", width-len(text)))
	}
	return show, func() { fmt.Fprintf(w, "\r%s\r", strings.Repeat(" ", width)) }
}
