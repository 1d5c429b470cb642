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
