package quantity

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Clean takes surrounding space off, the invisible kinds included.
func Clean(s string) string {
	if s == "" {
		return s
	}
	if first, last := s[0], s[len(s)-1]; first > ' ' && first < utf8.RuneSelf && last > ' ' && last < utf8.RuneSelf {
		return s
	}
	return strings.TrimFunc(s, func(r rune) bool {
		return unicode.IsSpace(r) || unicode.IsControl(r) || r == '\u200b' || r == '\ufeff'
	})
}

// signs writes the signs of quantities and dates in one way each: any space is
// a space, any minus a hyphen, any prime a straight mark. The dashes of ranges
// stay, because no sign of a number looks like them.
var signs = strings.NewReplacer(
	"\u00a0", " ", "\u2007", " ", "\u2009", " ", "\u202f", " ", "\u3000", " ", "\t", " ", "\r", " ", "\n", " ", "\u200b", "", "\ufeff", "",
	"−", "-", "‐", "-", "‑", "-", "⁄", "/", "∕", "/",
	"″", `"`, "“", `"`, "”", `"`, "''", `"`, "′′", `"`, "′", "'", "’", "'", "‘", "'",
	"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅓", " 1/3", "⅔", " 2/3", "⅕", " 1/5", "⅖", " 2/5", "⅗", " 3/5", "⅘", " 4/5",
	"⅙", " 1/6", "⅚", " 5/6", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
)

// normal is a cell's text with its signs written in one way and full-width
// characters, as East Asian keyboards give them, as the usual ones.
func normal(s string) string {
	s = signs.Replace(s)
	s = strings.Map(func(r rune) rune {
		if r >= '！' && r <= '～' {
			return r - '！' + '!'
		}
		return r
	}, s)
	s = Clean(s)
	// A spreadsheet's sign for text, which some exports write out.
	if len(s) > 1 && s[0] == '\'' && strings.IndexByte("0123456789.,-+", s[1]) >= 0 {
		s = s[1:]
	}
	return s
}
