package page

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

const dash = format.Dash

// longest is how many characters of a value read from a spreadsheet are shown.
const longest = 120

// sentence starts a text with a capital and ends it with a full stop.
func sentence(text string) string {
	text = strings.TrimSpace(text)
	return stopped(sentenceStart(text))
}

// stopped ends a text with a full stop and leaves its start as it is, which may
// be the name of a mold.
func stopped(text string) string {
	text = strings.TrimSpace(text)
	if text != "" && !strings.ContainsAny(text[len(text)-1:], ".!?:") {
		text += "."
	}
	return text
}

func sentences(texts []string) []string {
	var out []string
	for _, t := range texts {
		if s := sentence(t); s != "" {
			out = append(out, s)
		}
	}
	return out
}

// short cuts a value as read to a length that a table bears.
func short(value string) string {
	runes := []rune(value)
	if len(runes) <= longest {
		return value
	}
	return string(runes[:longest]) + "…"
}

// number writes a quantity without its unit, for columns whose head names it.
func number(written string) string {
	n, _, _ := strings.Cut(written, " ")
	return n
}

// count writes a whole number, or the dash.
func count(n tables.Count) string {
	if n == tables.NoCount {
		return dash
	}
	return format.Fixed(float64(n), 0)
}

// joined puts the parts that are there in a row: "mug · split".
func joined(parts ...string) string {
	var there []string
	for _, p := range parts {
		if p != "" {
			there = append(there, p)
		}
	}
	return strings.Join(there, " · ")
}

// plural writes "1 row", "2 rows".
func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return format.Fixed(float64(n), 0) + " " + many
}

// labelled puts a word before a written quantity, "" where that is absent.
func labelled(label, written string) string {
	if written == dash || written == "" {
		return ""
	}
	return label + written
}

// sentenceStart starts a phrase with a capital.
func sentenceStart(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	if size == 0 {
		return ""
	}
	return string(unicode.ToUpper(first)) + text[size:]
}

func whole(n int) string { return format.Fixed(float64(n), 0) }
