// Package charts draws the report's charts with gonum/plot, in one style.
// Each chart answers one question, which is its title.
package charts

// Chart is one drawn chart.
type Chart struct {
	Name     string  // stem of the file name, for example "wall_against_dwell"
	Title    string  // the question that it answers
	Alt      string  // text alternative: what a reader who cannot see it must know, with figures
	Note     string  // one line on how to read it
	Section  string  // which answer it belongs to: one of the Section constants
	WidthMM  float64 // printed size
	HeightMM float64
	SVG      []byte
	PNG      []byte
}

// Sections of the report that a chart belongs to.
const (
	SectionWall     = "wall"
	SectionLife     = "life"
	SectionWatch    = "watch"
	SectionHindcast = "hindcast"
	SectionPlaster  = "plaster"
	SectionPlan     = "plan"
)
