package format

// Paper is the paper that a report is printed on. The zero value is the usual
// one of the report's units.
type Paper string

const (
	A4     Paper = "a4"     // 210 × 297 mm
	Letter Paper = "letter" // 8 1/2 × 11 in
)

// Paper is the paper that is usual where these units are.
func (u Units) Paper() Paper {
	if u == US {
		return Letter
	}
	return A4
}

// Size is the paper's width and height when it stands upright, in points.
func (p Paper) Size() (width, height float64) {
	if p == Letter {
		return 612, 792
	}
	return 595, 842
}
