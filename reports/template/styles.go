package template

import (
	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/tables"
)

// styles are the workbook's cell styles, by use.
type styles struct {
	required, optional       int // header cells
	text, date, clock, share int // columns
	count, number            int
	title, heading, subhead  int // the first sheet
	prose, head, cell, bold  int
	caution                  int
}

const (
	slate = "1F4E5A" // required headers
	mist  = "DDE9EA" // optional headers
	sand  = "F4EBDA"
	face  = "Calibri" // the workbook's own; a font without a name is drawn in a serif
)

func makeStyles(f *excelize.File) (styles, error) {
	line := []excelize.Border{{Type: "bottom", Color: "B8B2A6", Style: 1}}
	wrap := &excelize.Alignment{WrapText: true, Vertical: "top"}
	middle := &excelize.Alignment{WrapText: true, Vertical: "center"}
	fill := func(colour string) excelize.Fill {
		return excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}}
	}
	day, hour, percent := "yyyy-mm-dd", "hh:mm", "0.0%"
	var s styles
	for _, d := range []struct {
		id *int
		st excelize.Style
	}{
		{&s.required, excelize.Style{Font: &excelize.Font{Family: face, Size: 11, Bold: true, Color: "FFFFFF"}, Fill: fill(slate), Alignment: middle}},
		{&s.optional, excelize.Style{Font: &excelize.Font{Family: face, Size: 11, Color: "22262A"}, Fill: fill(mist), Alignment: middle}},
		// Text, so that a mold named 3-4 or 007 is not made a date or a number.
		{&s.text, excelize.Style{NumFmt: 49}},
		{&s.date, excelize.Style{CustomNumFmt: &day}},
		{&s.clock, excelize.Style{CustomNumFmt: &hour}},
		{&s.share, excelize.Style{CustomNumFmt: &percent}},
		{&s.count, excelize.Style{NumFmt: 1}},
		{&s.number, excelize.Style{}},
		{&s.title, excelize.Style{Font: &excelize.Font{Family: face, Size: 20, Bold: true, Color: slate}}},
		{&s.heading, excelize.Style{Font: &excelize.Font{Family: face, Size: 14, Bold: true, Color: slate}, Alignment: &excelize.Alignment{Vertical: "bottom"}}},
		{&s.subhead, excelize.Style{Font: &excelize.Font{Family: face, Size: 11, Bold: true, Color: "22262A"}, Fill: fill(mist), Alignment: wrap}},
		{&s.prose, excelize.Style{Alignment: wrap}},
		{&s.head, excelize.Style{Font: &excelize.Font{Family: face, Size: 11, Bold: true, Color: "FFFFFF"}, Fill: fill(slate), Alignment: middle}},
		{&s.cell, excelize.Style{Alignment: wrap, Border: line, NumFmt: 49}},
		{&s.bold, excelize.Style{Font: &excelize.Font{Family: face, Size: 11, Bold: true}, Alignment: wrap, Border: line, NumFmt: 49}},
		{&s.caution, excelize.Style{Alignment: wrap, Fill: fill(sand)}},
	} {
		id, err := f.NewStyle(&d.st)
		if err != nil {
			return styles{}, err
		}
		*d.id = id
	}
	return s, nil
}

// of is the format of a column's cells.
func (s styles) of(c tables.Column) int {
	switch c.Kind {
	case tables.KindDate:
		return s.date
	case tables.KindClock:
		return s.clock
	case tables.KindShare:
		return s.share
	case tables.KindCount:
		return s.count
	case tables.KindID, tables.KindText, tables.KindChoice:
		return s.text
	}
	return s.number
}
