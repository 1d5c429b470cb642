package workbook

import (
	"fmt"

	"github.com/xuri/excelize/v2"
)

// Paper, in points: A4, and the margins.
const (
	paperShort, paperLong = 595.0, 842.0
	marginSide, marginEnd = 29.0, 43.0
)

// printed sets the sheet up for A4 paper, as wide as the paper and as long as
// it takes, with page numbers, and hides the screen's grid.
func (s *sheet) printed() {
	f, yes, no := s.b.file, true, false
	size, across, down, orientation := 9, 1, 0, "portrait"
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
	s.b.fail(s.b.file.SetDefinedName(&excelize.DefinedName{
		Name: "_xlnm.Print_Titles", RefersTo: fmt.Sprintf("'%s'!$%d:$%d", s.name, row, row), Scope: s.name,
	}))
}

// noRepeat leaves the header row off the pages after the first.
func (s *sheet) noRepeat() {
	s.b.fail(s.b.file.DeleteDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", Scope: s.name}))
	s.repeat = 0
}

// onePage shrinks the sheet to one printed page, whatever the paper.
func (s *sheet) onePage() {
	size, across, down, orientation := 9, 1, 1, "portrait"
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
	across, down := paperShort-2*marginSide, paperLong-2*marginEnd
	if s.wide {
		across, down = paperLong-2*marginSide, paperShort-2*marginEnd
	}
	var width float64
	for _, w := range s.widths {
		width += (w*charPixels + 5) / pixelsPerPoint
	}
	return down * max(1, width/across)
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
