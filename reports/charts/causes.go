package charts

import (
	"fmt"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/life"
)

// causes draws what ended the molds of each kind, and when: the share that each
// cause has ended by an age, one upon the other, and what is left.
func causes(s style, res pipeline.Result) (figure, bool) {
	g := grid{ownX: true, y: scale{lo: 0, hi: 1, percent: true}, xLabel: "mold age, casts", yLabel: "molds of the kind, %", cols: 1}
	var alts []string
	for _, c := range res.Life.Causes {
		area, ok := causeArea(s, c)
		if !ok {
			continue
		}
		ended := 0
		for _, n := range c.Ended {
			ended += n
		}
		x := scale{lo: c.FromCasts, hi: area.to, whole: true}
		heading := fmt.Sprintf("%s: %d of %s ended", kindName(c.Kind), ended, counted(c.Molds, "mold", "molds"))
		if c.FromCasts > 0 {
			heading += ", of those older than " + format.Casts(c.FromCasts)
		}
		g.panels = append(g.panels, panel{heading: heading, layers: []plot.Plotter{area}, x: x, ticks: x.ticksWithin(s.label, figureWidth-180, 9)})
		g.rightRoom = max(g.rightRoom, area.room(s))
		alts = append(alts, heading+"; "+area.told(c.LastCasts))
	}
	if len(g.panels) == 0 {
		return figure{}, false
	}
	g.panelHeight = max(80, 150-20*vg.Length(len(g.panels)))
	return figure{
		name: "life_causes", section: SectionLife, title: "What ends our molds, and when?",
		alt:  "Share of molds that each cause has ended by an age, by kind. " + listed(alts, 6, "kinds"),
		note: "Read upward at an age: so many of 100 molds have ended by then, and why; the white part goes on. In brackets stands the 95 % interval of a share at the last age. Causes compete: a mold that breaks can wear out no more. Molds in use tell of the ages that they have passed, so that few tell of the oldest ages.",
		body: g,
	}, true
}

// causeFill tells the causes apart by lightness and pattern.
func causeFill(end string) fill {
	switch end {
	case life.EndWorn:
		return fill{mist, plain, ink, 4}
	case life.EndBroken:
		return fill{clay, rising, paper, 4.4}
	case life.EndSlow:
		return fill{ochre, dotted, ink, 4}
	case life.EndOther:
		return fill{sage, lying, ink, 3.4}
	}
	return fill{stone, falling, paper, 4.4}
}

// stackedCauses are areas that rise in steps, one upon the other from the base, each
// named at its right end.
type stackedCauses struct {
	style style
	from  []float64 // where each step begins; the last one ends at to
	to    float64
	upTo  [][]float64 // upper edge of each area, by area and step
	names []string
	fills []fill
	goOn  string // label of the rest
}

func causeArea(s style, c life.Incidence) (stackedCauses, bool) {
	a := stackedCauses{style: s, to: c.LastCasts}
	if !drawable(c.LastCasts) || !drawable(c.FromCasts) || c.LastCasts <= c.FromCasts || len(c.Steps) == 0 {
		return a, false
	}
	// An end at the very last age keeps a strip in which its share is seen.
	a.to = max(a.to, c.Steps[len(c.Steps)-1].AgeCasts+lastStrip*(c.LastCasts-c.FromCasts))
	c.Steps = someSteps(c.Steps)
	below := make([]float64, len(c.Steps))
	for _, step := range c.Steps {
		if !drawable(step.AgeCasts) || !drawable(step.InUse) {
			return a, false
		}
		a.from = append(a.from, step.AgeCasts)
	}
	for k, end := range life.Ends() {
		edge, last := make([]float64, len(c.Steps)), 0.0
		for i, step := range c.Steps {
			if k >= len(step.Share) || !drawable(step.Share[k]) {
				return a, false
			}
			last = step.Share[k]
			edge[i] = below[i] + last
		}
		if last <= 0 {
			continue
		}
		a.upTo, a.names, a.fills = append(a.upTo, edge), append(a.names, end+" "+format.Percent(last)+between(c.Steps[len(c.Steps)-1], k)), append(a.fills, causeFill(end))
		below = edge
	}
	a.goOn = "not ended " + format.Percent(c.Steps[len(c.Steps)-1].InUse)
	return a, len(a.names) > 0
}

// someSteps are at most as many steps as can be told apart, the last among them.
func someSteps(all []life.IncidenceStep) []life.IncidenceStep {
	if len(all) <= mostSteps {
		return all
	}
	var out []life.IncidenceStep
	for _, i := range picked(len(all)-1, mostSteps-1) {
		out = append(out, all[i])
	}
	return append(out, all[len(all)-1])
}

// between is the 95 % interval of a cause's share in brackets, "" where it has none.
func between(step life.IncidenceStep, cause int) string {
	if cause >= len(step.Lower95) || cause >= len(step.Upper95) || !drawable(step.Lower95[cause]) || !drawable(step.Upper95[cause]) {
		return ""
	}
	return " (" + format.Interval(format.Percent(step.Lower95[cause]), format.Percent(step.Upper95[cause])) + ")"
}

const lastStrip = 0.04 // of the ages shown

const causeGap = vg.Length(9) // between an area and its label

func (a stackedCauses) room(s style) vg.Length {
	w := s.label.Width(a.goOn)
	for _, n := range a.names {
		w = max(w, s.label.Width(n))
	}
	return w + causeGap
}

// told says the shares in words, with the age up to which the log tells.
func (a stackedCauses) told(last float64) string {
	return "by " + format.Casts(last) + ": " + listed(append(append([]string(nil), a.names...), a.goOn), 6, "causes") + "."
}

func (a stackedCauses) Plot(c draw.Canvas, p *plot.Plot) {
	at := place(&c, p)
	end := func(i int) float64 {
		if i+1 < len(a.from) {
			return a.from[i+1]
		}
		return a.to
	}
	lower := make([]float64, len(a.from))
	for k, edge := range a.upTo {
		var top []vg.Point
		for i := range edge {
			low, high := at(a.from[i], lower[i]), at(end(i), edge[i])
			a.fills[k].cover(c, vg.Rectangle{Min: low, Max: high})
			top = append(top, vg.Point{X: low.X, Y: high.Y}, high)
		}
		c.StrokeLines(pen(ink, 0.7), append([]vg.Point{at(a.from[0], lower[0])}, top...))
		lower = edge
	}
	a.label(c, at)
}

// label names the areas at their right end, from the base up, moved apart where
// they would meet.
func (a stackedCauses) label(c draw.Canvas, at func(x, y float64) vg.Point) {
	last := len(a.from) - 1
	var mids []vg.Length
	low := 0.0
	for _, edge := range a.upTo {
		mids = append(mids, at(a.to, (low+edge[last])/2).Y)
		low = edge[last]
	}
	names := a.names
	if low < 0.995 {
		mids, names = append(mids, at(a.to, (low+1)/2).Y), append(append([]string(nil), a.names...), a.goOn)
	}
	spots := spaced(mids, lineHeight-2, c.Min.Y+4, c.Max.Y-4)
	for i, name := range names {
		c.StrokeLine2(pen(ink, 0.5), c.Max.X, mids[i], c.Max.X+causeGap-3, spots[i])
		write(c, a.style.label, ink, vg.Point{X: c.Max.X + causeGap, Y: spots[i] - middle(a.style.label)}, rightOf, name)
	}
}

// spaced moves ascending places at least so far from each other, and into the room
// between low and high where there is enough.
func spaced(at []vg.Length, gap, low, high vg.Length) []vg.Length {
	out := append([]vg.Length(nil), at...)
	for i := range out {
		out[i] = max(out[i], low)
		if i > 0 {
			out[i] = max(out[i], out[i-1]+gap)
		}
	}
	for i := len(out) - 1; i >= 0; i-- {
		out[i] = min(out[i], high-gap*vg.Length(len(out)-1-i))
	}
	return out
}
