package workbook

import (
	"bytes"
	"fmt"
	"image/png"
	"math"
	"slices"

	"github.com/xuri/excelize/v2"

	"moldwright/reports/charts"
)

const (
	pixelsPerMM = 96 / 25.4 // as spreadsheet programs count pixels
	widestMM    = 200.0     // no picture is shown wider

	// The library ties a native chart to cells, which it takes for 18 pixels high
	// where they are 20, and columns for 7 pixels a digit where they are 8.
	rowShare    = 18.0 / 20
	columnShare = 7.0 / 8
)

// pictures places the charts below what the sheet holds and names the row in
// the frame, so that nobody misses them under a long table.
func (s *sheet) pictures(pics []charts.Chart) {
	for i, p := range pics {
		s.picture(p, i == 0)
	}
}

// pointTo puts a link to a row of this sheet beside the links that are there.
func (s *sheet) pointTo(what string, row int) {
	text, col := fmt.Sprintf("%s: row %d ↓", what, row), max(s.linkCol, 2)
	s.linkBeside(col, words(text))
	s.b.fail(s.b.file.SetCellHyperLink(s.name, ref(col, linkRow), location(s.name, row), "Location"))
	for need := textPixels(text, linkLook()); need > 0; col++ { // the next link stands clear of this one
		width := 9.0
		if col <= len(s.widths) {
			width = s.widths[col-1]
		}
		need -= columnPixels(width)
	}
	s.linkCol = col
}

// picture places one chart at the next free row, its note above it; the title
// is in the picture.
func (s *sheet) picture(p charts.Chart, first bool) {
	config, err := png.DecodeConfig(bytes.NewReader(p.PNG))
	if err != nil || config.Width == 0 {
		s.b.fail(fmt.Errorf("chart %q is no PNG picture: %w", p.Name, err))
		return
	}
	width := p.WidthMM
	if width <= 0 || width > widestMM {
		width = widestMM
	}
	scale := width * pixelsPerMM / float64(config.Width)
	const aboveIt = 75 // points: the section's heading and the note
	if most := (s.page() - s.repeat - aboveIt) * pixelsPerPoint; scale*float64(config.Height) > most {
		scale = most / float64(config.Height) // no picture is cut by the end of a page
	}
	pixels := scale * float64(config.Height)
	s.keepTogether(pixels/pixelsPerPoint + aboveIt - 5)
	if first {
		s.pointTo("Charts", s.next+1)
		s.section("Charts")
	}
	if p.Note != "" {
		s.paragraph(s.next, noteLook(), p.Note)
	}
	s.b.fail(s.b.file.AddPictureFromBytes(s.name, ref(1, s.next), &excelize.Picture{
		Extension: ".png", File: p.PNG,
		Format: &excelize.GraphicOptions{
			AltText: p.Alt, Name: p.Name, ScaleX: scale, ScaleY: scale, OffsetX: 4, OffsetY: 4,
			LockAspectRatio: true, Positioning: "oneCell",
		},
	}))
	s.skip(pixels)
}

// skip leaves room for something so many pixels high: rows of a set height,
// since programs differ in how high an empty row is.
func (s *sheet) skip(pixels float64) {
	const rowPixels = usualRowHeight * pixelsPerPoint
	for range int(math.Ceil(pixels/rowPixels)) + 1 {
		s.cells.add(s.next, usualRowHeight, nil)
		s.flow(usualRowHeight)
		s.next++
	}
}

// Charts are pictures that may still be in the drawing.
type Charts interface {
	// Of waits for the charts that are wanted, and gives them in order.
	Of(wanted func(name, section string) bool) []charts.Chart
}

// chartsFor are the charts that belong on a sheet.
func (b *book) chartsFor(sheet string) []charts.Chart {
	if b.pics == nil {
		return nil
	}
	there := b.pics.Of(func(name, section string) bool { return homeOf(name, section) == sheet })
	return slices.DeleteFunc(there, func(p charts.Chart) bool { return len(p.PNG) == 0 })
}

// homeOf is the sheet that a chart belongs on: the one whose table it draws,
// else the main sheet of its section.
func homeOf(name, section string) string {
	switch name {
	case "rate_against_age":
		return moldsSheet
	case "dwell_guide":
		return dwellSheet
	case "lives", "life_causes":
		return livesSheet
	case "waste_by_pour":
		return poursSheet
	case "budget":
		return budgetSheet
	}
	switch section {
	case charts.SectionWall:
		return wallSheet
	case charts.SectionLife:
		return remainingSheet
	case charts.SectionWatch:
		return watchSheet
	case charts.SectionHindcast:
		return hindcastSheet
	case charts.SectionPlan:
		return planSheet
	}
	return wasteSheet
}

// bars is a native bar chart of a table's columns: it follows the table's filter.
type bars struct {
	heading  string // of the part of the sheet
	title    string
	alt      string
	axis     string // what the bars' length is, with its unit
	labels   string // column with the bars' names
	values   []string
	colors   []string
	from, to int // rows of the table that are shown, counted from 0, to not included
}

// bars adds a native chart below what the sheet holds.
func (s *sheet) bars(a area, c bars) {
	if c.to <= c.from || s.b.err != nil {
		return
	}
	width, height := 720.0, float64(110+(c.to-c.from)*(10+12*len(c.values)))
	gap, overlap := uint(45), 0
	chart := &excelize.Chart{
		Type:      excelize.Bar,
		GapWidth:  &gap,
		Overlap:   &overlap,
		Title:     excelize.ChartTitle{Paragraph: []excelize.RichTextRun{{Text: c.title, Font: &excelize.Font{Family: fontName, Size: 12, Bold: true, Color: ink}}}},
		Legend:    excelize.ChartLegend{Position: "bottom"},
		Format:    excelize.GraphicOptions{AltText: c.alt, Name: c.title, OffsetX: 4, OffsetY: 4},
		Dimension: excelize.ChartDimension{Width: uint(width * columnShare), Height: uint(height * rowShare)},
		XAxis:     excelize.ChartAxis{ReverseOrder: true, Font: excelize.Font{Family: fontName, Size: 9, Color: ink}},
		YAxis: excelize.ChartAxis{
			MajorGridLines: true, Font: excelize.Font{Family: fontName, Size: 9, Color: ink},
			Title: excelize.ChartTitle{Paragraph: []excelize.RichTextRun{{Text: c.axis, Font: &excelize.Font{Family: fontName, Size: 9, Color: ink}}}},
		},
	}
	if len(c.values) == 1 {
		chart.Legend.Position = "none"
	}
	for i, head := range c.values {
		chart.Series = append(chart.Series, excelize.ChartSeries{
			Name:       fmt.Sprintf("'%s'!%s", a.sheet, absolute(a.column(head), a.head)),
			Categories: a.within(c.labels, c.from, c.to),
			Values:     a.within(head, c.from, c.to),
			Fill:       solid(c.colors[i]),
		})
	}
	s.keepTogether(height/pixelsPerPoint + 60)
	s.pointTo("Bar chart", s.next+1)
	s.section(c.heading)
	s.b.fail(s.b.file.AddChart(s.name, ref(1, s.next), chart))
	s.skip(height)
}

// absolute is a cell's reference that does not shift, for example "$C$5".
func absolute(col, row int) string {
	name, err := excelize.CoordinatesToCellName(col, row, true)
	if err != nil {
		panic(fmt.Sprintf("workbook: no cell at column %d, row %d", col, row))
	}
	return name
}
