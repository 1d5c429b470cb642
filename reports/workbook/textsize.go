package workbook

import (
	"math"
	"strings"
)

// Widths and heights are reckoned here because the programs that open a
// workbook don't fit rows to wrapped text by themselves. The letter widths are
// those of Arial, to a class of letters; fonts of the same widths stand in for it.
const (
	pixelsPerPoint = 96.0 / 72
	charPixels     = 8 // a column's unit: a digit of the workbook's font at 11 points
	cellPadding    = 8 // left and right of a text, in pixels
	indentPixels   = 9 // one step of indentation
	filterButton   = 19
	lineSpacing    = 1.22 // of the font size
	usualRowHeight = 15.0 // points
	tallestRow     = 405  // points; spreadsheet programs allow 409
)

// letterWidth is the width of a letter as a part of the font size.
func letterWidth(r rune) float64 {
	switch r {
	case 'i', 'j', 'l', '|', '\'', '!', '.', ',', ':', ';', 'I', 't', ' ':
		return 0.28
	case 'f', 'r', '(', ')', '[', ']', '/', '\\', '-', '"', '`', '*':
		return 0.35
	case 'c', 'k', 's', 'v', 'x', 'y', 'z', 'J':
		return 0.5
	case 'm', 'M':
		return 0.84
	case 'w', 'W', 'O', 'G', 'Q', '@', '%', '…', '→':
		return 0.8
	}
	switch {
	case r >= 'A' && r <= 'Z':
		return 0.7
	case r < 0x2E80:
		return 0.56
	}
	return 1 // ideographs and emoji
}

// textPixels is the width of a text on one line.
func textPixels(text string, l look) float64 {
	var em float64
	for _, r := range text {
		em += letterWidth(r)
	}
	if l.bold {
		em *= 1.08
	}
	return em * l.size * pixelsPerPoint
}

// columnPixels is what a column of a width in characters holds of text.
func columnPixels(width float64) float64 { return width*charPixels + 5 - cellPadding }

// columnWidth is the width in characters of a column that holds so many pixels of text.
func columnWidth(pixels float64) float64 { return math.Ceil((pixels + cellPadding) / charPixels) }

// lines is how many lines a text takes when it is broken at spaces to fit so many pixels.
func lines(text string, pixels float64, l look) int {
	n := 0
	for line := range strings.SplitSeq(text, "\n") {
		n += linesOf(line, max(pixels, 1), l)
	}
	return n
}

func linesOf(line string, pixels float64, l look) int {
	if textPixels(line, l) <= pixels {
		return 1
	}
	space := textPixels(" ", l)
	n, used := 1, 0.0
	for word := range strings.FieldsSeq(line) {
		w := textPixels(word, l)
		if used > 0 && used+space+w > pixels {
			n++
			used = 0
		}
		if used > 0 {
			used += space
		}
		used += w
		if over := math.Ceil(used/pixels) - 1; over > 0 { // a word longer than the line is broken
			n += int(over)
			used -= over * pixels
		}
	}
	return n
}

// linesHeight is how high so many lines are, in points.
func linesHeight(n int, l look) float64 {
	return min(math.Ceil(float64(n)*l.size*lineSpacing+2), tallestRow)
}
