package calendar

import (
	"strings"
	"unicode/utf8"
)

// mostOctets is the longest line of a file, its end not counted (RFC 5545,
// section 3.1).
const mostOctets = 75

// file is an iCalendar file in the making.
type file struct{ text strings.Builder }

// line writes a content line, folded: what is beyond 75 octets goes on after a
// line end and a space, and no letter of several octets is split.
func (f *file) line(name, value string) {
	rest, room := name+":"+value, mostOctets
	for len(rest) > room {
		cut := room
		for !utf8.RuneStart(rest[cut]) {
			cut--
		}
		f.text.WriteString(rest[:cut])
		f.text.WriteString("\r\n ")
		rest, room = rest[cut:], mostOctets-1 // the space counts
	}
	f.text.WriteString(rest)
	f.text.WriteString("\r\n")
}

// escaped makes a text fit for a TEXT value (RFC 5545, section 3.3.11): \ ; ,
// and line ends are written with a backslash; octets that are no UTF-8 and
// characters that control are left out.
func escaped(text string) string {
	text = strings.ReplaceAll(strings.ToValidUTF8(text, ""), "\r\n", "\n")
	var b strings.Builder
	for _, r := range text {
		switch {
		case r == '\\' || r == ';' || r == ',':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n' || r == '\r':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteByte(' ')
		case r < ' ' || r == 0x7F:
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}
