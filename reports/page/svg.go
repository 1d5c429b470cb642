package page

import (
	"bytes"
	"cmp"
	"encoding/xml"
	"errors"
	"fmt"
	"html/template"
	"io"
	"regexp"
	"strings"

	"moldwright/reports/charts"
)

// otherCharts gathers charts of a section that the page does not know.
const otherCharts = "other"

func figuresBySection(pics []charts.Chart) (map[string][]figure, error) {
	bySection := map[string][]figure{}
	for i, c := range pics {
		svg, err := inline(c, fmt.Sprintf("chart-%d", i+1))
		if err != nil {
			return nil, fmt.Errorf("chart %q: %w", c.Name, err)
		}
		where := c.Section
		switch where {
		case charts.SectionWall, charts.SectionLife, charts.SectionWatch, charts.SectionHindcast, charts.SectionPlaster, charts.SectionPlan:
		default:
			where = otherCharts
		}
		bySection[where] = append(bySection[where], figure{Name: c.Name, Title: c.Title, Note: c.Note, Width: width(c), SVG: svg})
	}
	return bySection, nil
}

func width(c charts.Chart) string {
	if c.WidthMM > 0 && c.WidthMM < 1000 {
		return fmt.Sprintf("%.0fmm", c.WidthMM)
	}
	return "100%"
}

// Charts that stand apart from the others of their section, by name: those that
// judge the fit go with the method, that of the budget with the order.
const (
	chartFitted    = "measured_against_fitted"
	chartResiduals = "residuals"
	chartBudget    = "budget"
)

// drawing are the SVG elements that only draw. Anything else, such as scripts,
// foreign content and links, is left out with all that it contains.
var drawing = map[string]bool{
	"svg": true, "g": true, "defs": true, "clipPath": true, "path": true, "rect": true, "circle": true, "ellipse": true,
	"line": true, "polyline": true, "polygon": true, "text": true, "tspan": true, "use": true, "image": true, "marker": true,
	"pattern": true, "symbol": true, "linearGradient": true, "radialGradient": true, "stop": true,
}

// inline turns a chart's SVG file into an element of the page: no prolog, ids
// that no other chart has, a name for those who cannot see it, and nothing
// that runs or loads. Chart texts carry names from the spreadsheets, so the
// file is taken apart and written anew instead of being trusted.
func inline(c charts.Chart, id string) (template.HTML, error) {
	dec := xml.NewDecoder(bytes.NewReader(c.SVG))
	w := svgWriter{chart: c, id: id}
	for {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return "", fmt.Errorf("reading its SVG: %w", err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			if !drawing[tok.Name.Local] || w.depth == 0 && tok.Name.Local != "svg" {
				if w.depth == 0 {
					return "", fmt.Errorf("its SVG starts with <%s>", tok.Name.Local)
				}
				if err := dec.Skip(); err != nil {
					return "", fmt.Errorf("reading its SVG: %w", err)
				}
				continue
			}
			w.start(tok)
		case xml.EndElement:
			w.end(tok)
		case xml.CharData:
			if w.depth > 0 {
				w.out.WriteString(template.HTMLEscapeString(string(tok)))
			}
		}
	}
	if w.out.Len() == 0 {
		return "", errors.New("it has no SVG")
	}
	return template.HTML(strings.TrimSpace(w.out.String())), nil
}

type svgWriter struct {
	chart charts.Chart
	id    string
	depth int
	out   strings.Builder
}

func (w *svgWriter) start(e xml.StartElement) {
	root := w.depth == 0
	w.depth++
	fmt.Fprintf(&w.out, "<%s", e.Name.Local)
	if root {
		fmt.Fprintf(&w.out, ` role="img" aria-labelledby="%s-title %s-desc"`, w.id, w.id)
	}
	scalable := root && hasAttr(e, "viewBox")
	for _, a := range e.Attr {
		if scalable && (a.Name.Local == "width" || a.Name.Local == "height") {
			continue // the page's style sizes it
		}
		if root && (a.Name.Local == "role" || strings.HasPrefix(a.Name.Local, "aria-")) {
			continue // the page names it
		}
		if value, ok := w.attribute(a); ok {
			fmt.Fprintf(&w.out, ` %s="%s"`, a.Name.Local, template.HTMLEscapeString(value))
		}
	}
	w.out.WriteString(">")
	if root {
		title := cmp.Or(w.chart.Title, w.chart.Name, "Chart")
		fmt.Fprintf(&w.out, `<title id="%s-title">%s</title><desc id="%s-desc">%s</desc>`,
			w.id, template.HTMLEscapeString(title), w.id, template.HTMLEscapeString(cmp.Or(w.chart.Alt, w.chart.Note, title)))
	}
}

func (w *svgWriter) end(e xml.EndElement) {
	w.depth--
	fmt.Fprintf(&w.out, "</%s>", e.Name.Local)
}

func hasAttr(e xml.StartElement, name string) bool {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return true
		}
	}
	return false
}

var (
	attrName  = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9-]*$`)
	reference = regexp.MustCompile(`url\(\s*['"]?#([^)'"\s]+)['"]?\s*\)`)
)

// attribute returns the value to write and whether to write it at all.
func (w *svgWriter) attribute(a xml.Attr) (string, bool) {
	name, value := a.Name.Local, a.Value
	lower := strings.ToLower(name)
	switch {
	case a.Name.Space == "xmlns" || name == "xmlns" || !attrName.MatchString(name):
		return "", false // an HTML page knows the namespaces
	case strings.HasPrefix(lower, "on") || lower == "src" || lower == "tabindex":
		return "", false
	case lower == "id":
		return w.id + "-" + value, true
	case lower == "href":
		if target, ok := strings.CutPrefix(value, "#"); ok {
			return "#" + w.id + "-" + target, true
		}
		return value, strings.HasPrefix(value, "data:image/png;base64,")
	}
	value = reference.ReplaceAllString(value, "url(#"+w.id+"-$1)")
	if strings.Count(strings.ToLower(value), "url(") != strings.Count(value, "url(#"+w.id+"-") {
		return "", false // it would load something
	}
	return value, true
}
