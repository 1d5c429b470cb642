package workbook

import (
	"fmt"

	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/format"
)

// Margins, in points.
const marginSide, marginEnd = 29.0, 43.0

// paper is what the workbook prints on.
func (b *book) paper() format.Paper {
	set := b.res.Settings
	if set.Paper != "" {
		return set.Paper
	}
	return set.Units.Paper()
}

// paperSize is its number in a workbook.
func (b *book) paperSize() int {
	if b.paper() == format.Letter {
		return 1
	}
	return 9
}

// printed sets the sheet up for the report's paper, as wide as the paper and as long as
// it takes, with page numbers, and hides the screen's grid.
func (s *sheet) printed() {
	f, yes, no := s.b.file, true, false
	size, across, down, orientation := s.b.paperSize(), 1, 0, "portrait"
	if s.wide {
		orientation = "landscape"
	}
	s.b.fail(f.SetSheetProps(s.name, &excelize.SheetPropsOptions{FitToPage: &yes}))
	s.b.fail(f.SetPageLayout(s.name, &excelize.PageLayoutOptions{
		Size: &size, Orientation: &orientation, FitToWidth: &across, FitToHeight: &down,
	}))
	side, end, band := marginSide/72, marginEnd/72, marginEnd/72/2
	s.b.fail(f.SetPageMargins(s.name, &excelize.PageLayoutMarginsOptions{
		Left: &side, Right: &side, Top: &end, Bottom: &end, Header: &band, Footer: &band,
	}))
	s.b.fail(f.SetHeaderFooter(s.name, &excelize.HeaderFooterOptions{
		OddHeader: "&L&9" + s.b.title() + "&R&9&A", OddFooter: "&R&9Page &P of &N",
	}))
	s.b.fail(f.SetSheetView(s.name, 0, &excelize.ViewOptions{ShowGridLines: &no}))
}

// frozen keeps the rows down to and including row on the screen.
func (s *sheet) frozen(row int) {
	s.b.fail(s.b.file.SetPanes(s.name, &excelize.Panes{
		Freeze: true, YSplit: row, TopLeftCell: ref(1, row+1), ActivePane: "bottomLeft",
	}))
}

// repeated prints the header row on every page.
func (s *sheet) repeated(row int) {
	s.repeat = titleHeight // until the height of a header row is known
	s.b.fail(s.b.file.SetDefinedName(&excelize.DefinedName{
		Name: "_xlnm.Print_Titles", RefersTo: fmt.Sprintf("'%s'!$%d:$%d", s.name, row, row), Scope: s.name,
	}))
}

// repeatTitle repeats the sheet's title on its pages in place of the header row.
func (s *sheet) repeatTitle() {
	s.noRepeat()
	s.repeated(titleRow)
}

// noRepeat leaves every row off the pages after the first.
func (s *sheet) noRepeat() {
	s.b.fail(s.b.file.DeleteDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", Scope: s.name}))
	s.repeat = 0
}

// onePage shrinks the sheet to one printed page, whatever the paper.
func (s *sheet) onePage() {
	size, across, down, orientation := s.b.paperSize(), 1, 1, "portrait"
	s.b.fail(s.b.file.SetPageLayout(s.name, &excelize.PageLayoutOptions{
		Size: &size, Orientation: &orientation, FitToWidth: &across, FitToHeight: &down,
	}))
	s.noRepeat()
	s.single = true
}

// printArea prints what the sheet holds and nothing else.
func (s *sheet) printArea() {
	last, err := excelize.ColumnNumberToName(s.lastCol)
	s.b.fail(err)
	s.b.fail(s.b.file.SetDefinedName(&excelize.DefinedName{
		Name: "_xlnm.Print_Area", RefersTo: fmt.Sprintf("'%s'!$A$1:$%s$%d", s.name, last, s.next-1), Scope: s.name,
	}))
}

// page is how many points of rows a printed page holds: the sheet is shrunk
// until its columns fit the paper.
func (s *sheet) page() float64 {
	across, down := s.b.paper().Size()
	if s.wide {
		across, down = down, across
	}
	return (down - 2*marginEnd) * max(1, s.wideness()/(across-2*marginSide))
}

// wideness is how wide the sheet's columns are together, in points.
func (s *sheet) wideness() float64 {
	var width float64
	for _, w := range s.shownWidths() {
		width += (w*charPixels + 5) / pixelsPerPoint
	}
	return width
}

// flow counts a row of so many points, 0 for the usual height, onto the printed pages.
func (s *sheet) flow(points float64) {
	if points == 0 {
		points = usualRowHeight
	}
	if s.used+points > s.page() {
		s.used = s.repeat
	}
	s.used += points
}

// keepTogether begins a new page where what comes next, so many points high,
// would be cut by the end of the page.
func (s *sheet) keepTogether(points float64) {
	if !s.single && s.used > s.repeat && s.used+points > s.page() {
		s.b.fail(s.b.file.InsertPageBreak(s.name, ref(1, s.next)))
		s.used = s.repeat
	}
}
