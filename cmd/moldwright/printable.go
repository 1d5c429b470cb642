package main

import (
	"strings"
	"unicode"
)

// printable is a text for a terminal: signs that would move its cursor, change
// its colours or turn the direction of writing, and that may stand in names and
// cells, are shown as one that does nothing.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return r
		case unicode.IsControl(r), r >= '\u202a' && r <= '\u202e', r >= '\u2066' && r <= '\u2069', r == '\u2028', r == '\u2029':
			return '\ufffd'
		}
		return r
	}, s)
}
