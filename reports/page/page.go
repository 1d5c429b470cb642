// Package page writes the whole report as one HTML file that needs nothing
// beside it: style and charts stand inside, and no script runs. It prints on A4
// and on Letter. It formats a pipeline.Result and computes nothing.
package page

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"

	"moldwright/pipeline"
	"moldwright/pipeline/tables"
	"moldwright/reports/charts"
)

//go:embed page.tmpl page.css
var files embed.FS

// document is what the template is filled with.
type document struct {
	Title    string
	Day      string // the day forecasts start from, or the dash
	Style    template.CSS
	Readers  []reader
	Cautions []string
	Sections []section
}

// Write writes the page. The same result and charts give the same bytes: stage
// times are left out for that reason. The error tells of a chart that is no
// SVG, or of w failing; in either case of the first kind nothing is written.
func Write(w io.Writer, res pipeline.Result, pics []charts.Chart) error {
	figures, err := figuresBySection(pics)
	if err != nil {
		return fmt.Errorf("page: %w", err)
	}
	doc := document{
		Title: "Molds and plaster", Day: res.Settings.Days.Day(asOf(res)),
		Readers: readers(res), Cautions: res.Cautions, Sections: sections(res, figures),
	}
	// Through a buffer, so that a failing template leaves no half of a page.
	var buf bytes.Buffer
	if err := fill(&buf, doc); err != nil {
		return err
	}
	if _, err := w.Write(buf.Bytes()); err != nil {
		return fmt.Errorf("page: writing: %w", err)
	}
	return nil
}

// fill fills the template with a document.
func fill(buf *bytes.Buffer, doc document) error {
	style, err := files.ReadFile("page.css")
	if err != nil {
		return fmt.Errorf("page: the embedded style: %w", err)
	}
	doc.Style = template.CSS(style)
	doc.numberTables()
	tmpl, err := template.ParseFS(files, "page.tmpl")
	if err != nil {
		return fmt.Errorf("page: the embedded template: %w", err)
	}
	if err := tmpl.ExecuteTemplate(buf, "page", doc); err != nil {
		return fmt.Errorf("page: filling the template: %w", err)
	}
	return nil
}

// sections are the answers in the order of the page.
func sections(res pipeline.Result, figures map[string][]figure) []section {
	judging, walls := take(figures[charts.SectionWall], chartFitted, chartResiduals)
	all := []section{
		moldsSection(res),
		guideSection(res),
		lawSection(res, walls),
		lifeSection(res, figures[charts.SectionLife]),
		planSection(res, figures[charts.SectionPlan]),
		watchSection(res, figures[charts.SectionWatch]),
		hindcastSection(res, figures[charts.SectionHindcast]),
		plasterSection(res, figures[charts.SectionPlaster]),
		readingSection(res),
		problemsSection(res),
		notGivenSection(res),
		methodSection(res, judging),
	}
	if rest := figures[otherCharts]; len(rest) > 0 {
		all = append(all, section{ID: "charts", Title: "More charts", Blocks: figureBlocks(rest)})
	}
	return all
}

// asOf is the day that the log ends on, or the day that was asked for. The day
// zero (1970) is that of a result that no stage has filled.
func asOf(res pipeline.Result) tables.Date {
	for _, d := range []tables.Date{res.Log.AsOf, res.Settings.AsOf} {
		if d.Valid() && d != 0 {
			return d
		}
	}
	return tables.NoDate
}
