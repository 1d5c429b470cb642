package workbook

import "github.com/xuri/excelize/v2"

// The workbook's colors: slate for frames, clay for what to look at.
const (
	ink      = "2B343B" // text
	faint    = "66727B" // notes and units
	slate    = "3D4F5C" // header rows
	rule     = "CBD2D6" // thin lines between rows
	linkInk  = "1F5C7A" // links
	actFill  = "F3D5CB" // act now
	actInk   = "7A2414"
	soonFill = "F7EBCB" // keep an eye on it
	soonInk  = "6B4E00"
	band     = "EEF1F2" // headings within a sheet
	yours    = "DDEAF2" // cells whose value the reader may change
)

const (
	fontName = "Arial" // on every system, or with a font of the same widths
	bodySize = 10.0    // points
)

// look is how a cell is drawn. Equal looks share one style of the workbook.
type look struct {
	code   string // number format, "" for general
	size   float64
	bold   bool
	under  bool // underlined, for links
	wrap   bool
	ink    string
	fill   string
	across string // horizontal alignment
	indent int    // steps of indentation
	up     string // vertical alignment
	ruled  bool   // thin line below
	begun  bool   // heavy line above, where a block of rows begins
	boxed  bool   // a box to write into by hand
}

func bodyLook() look { return look{size: bodySize, ink: ink, up: "top"} }

// ofTable is how a value is drawn in a table: texts wrapped and a step in from
// the left, numbers to the right.
func ofTable(v value, size float64) look {
	l := bodyLook()
	l.ruled, l.up = true, "center"
	l.size = max(size, bodySize)
	switch {
	case v.is == isNumber, v.code != "":
		l.across = "right"
	case v.is == isText:
		l.wrap, l.across, l.indent = true, "left", 1
	}
	return l
}

func titleLook() look { return look{size: 16, bold: true, ink: slate, up: "center"} }

func noteLook() look { return look{size: bodySize, ink: faint, wrap: true, up: "top"} }

func leadLook() look { return look{size: bodySize, ink: ink, bold: true, wrap: true, up: "top"} }

func linkLook() look { return look{size: bodySize, ink: linkInk, under: true, up: "top"} }

func headLook() look {
	return look{size: bodySize, bold: true, ink: "FFFFFF", fill: slate, wrap: true, up: "center", across: "left", indent: 1}
}

func sectionLook() look {
	return look{size: 12, bold: true, ink: slate, fill: band, up: "center"}
}

// style gives the number of the workbook's style for a look.
func (b *book) style(l look) int {
	if id, ok := b.styles[l]; ok {
		return id
	}
	s := excelize.Style{
		Font:      &excelize.Font{Family: fontName, Size: l.size, Bold: l.bold, Color: l.ink},
		Alignment: &excelize.Alignment{Horizontal: l.across, Vertical: l.up, WrapText: l.wrap, Indent: l.indent},
	}
	if l.under {
		s.Font.Underline = "single"
	}
	if l.fill != "" {
		s.Fill = solid(l.fill)
	}
	if l.ruled {
		s.Border = append(s.Border, excelize.Border{Type: "bottom", Color: rule, Style: 1})
	}
	if l.boxed {
		s.Border = append(s.Border, excelize.Border{Type: "left", Color: faint, Style: 1}, excelize.Border{Type: "right", Color: faint, Style: 1})
	}
	if l.begun {
		s.Border = append(s.Border, excelize.Border{Type: "top", Color: ink, Style: 5})
	}
	if l.code != "" {
		s.CustomNumFmt = &l.code
	}
	id, err := b.file.NewStyle(&s)
	b.fail(err)
	b.styles[l] = id
	return id
}

// tone is how urgently a conditional format speaks.
type tone int

const (
	toneSoon tone = iota
	toneAct
)

// toneStyle gives the number of the conditional style for a tone.
func (b *book) toneStyle(t tone) int { return b.toneWritten(t, "") }

// toneWritten is a tone that writes numbers otherwise, by a number format.
func (b *book) toneWritten(t tone, code string) int {
	key := number(int(t)) + code
	if id, ok := b.tones[key]; ok {
		return id
	}
	fill, text := soonFill, soonInk
	if t == toneAct {
		fill, text = actFill, actInk
	}
	style := &excelize.Style{
		Font: &excelize.Font{Color: text, Bold: t == toneAct},
		Fill: solid(fill),
	}
	if code != "" {
		style.CustomNumFmt = &code
	}
	id, err := b.file.NewConditionalStyle(style)
	b.fail(err)
	b.tones[key] = id
	return id
}

func solid(color string) excelize.Fill {
	return excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{color}}
}
