package charts

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

const (
	barsInRow = 36 // pours in one row of bars
	barRows   = 5  // rows that a page holds
)

// wasteByPour draws where the plaster of each pour went, in order of date.
func wasteByPour(s style, res pipeline.Result) (figure, bool) {
	u, days := res.Settings.Units, res.Settings.Days
	to := u.MassUnit()
	var all []tables.PourWaste
	for _, p := range poursIn(to, res.Plaster.Pours) {
		if total(p) > 0 {
			all = append(all, p)
		}
	}
	if len(all) == 0 {
		return figure{}, false
	}
	slices.SortStableFunc(all, func(a, b tables.PourWaste) int { return cmp.Compare(a.Date, b.Date) })
	shown := all[max(0, len(all)-barsInRow*barRows):]
	rows := (len(shown) + barsInRow - 1) / barsInRow
	each := (len(shown) + rows - 1) / rows
	heights := make([]float64, len(shown))
	for i, p := range shown {
		heights[i] = max(total(p), p.PlasterKg)
	}
	_, high, _ := span(heights)
	g := grid{
		y: over(high, to.Of(0.1)), yLabel: "dry plaster, " + to.Name, xLabel: "pours in order of date",
		cols: 1, ownX: true, panelHeight: []vg.Length{200, 135, 105, 88, 74}[rows-1],
	}
	off := 0
	for _, h := range heights {
		if h > g.y.hi {
			off++
		}
	}
	x := scale{lo: 0, hi: float64(each)}
	for chunk := range slices.Chunk(shown, each) {
		g.panels = append(g.panels, panel{
			x: x, layers: []plot.Plotter{stacks{chunk}}, ticks: dateTicks(s, days, chunk, each),
		})
	}
	return figure{
		name: "waste_by_pour", section: SectionPlaster,
		title: "Where did the plaster of each pour go?",
		alt:   wasteAlt(u, days, res.Plaster.By, all),
		note: sentences("One bar a pour: waste from the base up, the usable mold on top. Slurry and set plaster are counted as the dry plaster in them.",
			latest(len(shown), len(all)), offScale(off, "pour", "pours")),
		shown: partly(len(shown), len(all), "pours", "the latest"), key: stackKey(shown), body: g,
	}, true
}

func latest(shown, all int) string {
	if shown >= all {
		return ""
	}
	return fmt.Sprintf("Shown are the latest %d of %d pours; the others are in tables/pour_waste.", shown, all)
}

// positive is x where it is a number above 0, and 0 else.
func positive(x float64) float64 {
	if drawable(x) && x > 0 {
		return x
	}
	return 0
}

// total is the height of a pour's bar.
func total(p tables.PourWaste) float64 {
	sum := 0.0
	for _, part := range allParts() {
		sum += positive(part.kg(p))
	}
	return sum
}

// stackKey explains the parts that occur.
func stackKey(pours []tables.PourWaste) []keyEntry {
	var key []keyEntry
	for _, part := range allParts() {
		if slices.ContainsFunc(pours, func(p tables.PourWaste) bool { return positive(part.kg(p)) > 0 }) {
			key = append(key, keyEntry{fillSwatch(part.fill), part.name})
		}
	}
	if slices.ContainsFunc(pours, hasInterval) {
		key = append(key, keyEntry{whiskerSwatch(), "80 % interval of the waste"})
	}
	if slices.ContainsFunc(pours, isUnbalanced) {
		key = append(key, keyEntry{lineSwatch(pen(ink, 1.4)), "mixed, where the parts don't add up to it"})
	}
	return key
}

func hasInterval(p tables.PourWaste) bool {
	return drawable(p.WasteLower80) && drawable(p.WasteUpper80) && p.WasteUpper80 > p.WasteLower80
}

// isUnbalanced reports whether the parts differ visibly from what was mixed,
// as where more is accounted for than was mixed.
func isUnbalanced(p tables.PourWaste) bool {
	return drawable(p.PlasterKg) && math.Abs(total(p)-p.PlasterKg) > 0.02*p.PlasterKg
}

// stacks draws a stacked bar for each pour, at 0.5, 1.5 and so on.
type stacks struct{ pours []tables.PourWaste }

func (l stacks) Plot(c draw.Canvas, p *plot.Plot) {
	slot := c.X(p.X.Norm(1)) - c.X(p.X.Norm(0))
	half := min(slot*0.38, 11)
	y := func(kg float64) vg.Length { return c.Y(min(max(p.Y.Norm(kg), 0), 1)) }
	for i, pour := range l.pours {
		mid := c.X(p.X.Norm(float64(i) + 0.5))
		base := 0.0
		for _, part := range allParts() {
			top := base + positive(part.kg(pour))
			part.fill.paint(c, vg.Rectangle{Min: vg.Point{X: mid - half, Y: y(base)}, Max: vg.Point{X: mid + half, Y: y(top)}})
			base = top
		}
		if isUnbalanced(pour) && pour.PlasterKg <= p.Y.Max {
			c.StrokeLine2(pen(ink, 1.4), mid-half-2, y(pour.PlasterKg), mid+half+2, y(pour.PlasterKg))
		}
		if hasInterval(pour) {
			whisker(c, mid, y(pour.WasteLower80), y(pour.WasteUpper80))
		}
		if base > p.Y.Max {
			var arrow vg.Path
			edgeArrow(&arrow, c.Rectangle, vg.Point{X: mid, Y: c.Max.Y + 1})
			c.SetColor(ink)
			c.Fill(arrow)
		}
	}
}

// whisker draws an upright interval with a rim of paper that sets it off from patterns.
func whisker(c draw.Canvas, x, low, high vg.Length) {
	for _, line := range []draw.LineStyle{pen(paper, 2.4), pen(ink, 0.9)} {
		c.StrokeLine2(line, x, low, x, high)
		for _, y := range []vg.Length{low, high} {
			c.StrokeLine2(line, x-2, y, x+2, y)
		}
	}
}

func whiskerSwatch() swatch {
	return func(c draw.Canvas) { whisker(c, c.Center().X, c.Min.Y, c.Max.Y) }
}

// dateTicks labels the first pour of a day, as far as labels stand clear of each other.
func dateTicks(s style, days format.Days, pours []tables.PourWaste, slots int) []tick {
	slot := (figureWidth - 2*margin - 40) / vg.Length(slots) // 40 points for the numbers at the left, about
	free := vg.Length(-30)
	end := slot*vg.Length(slots) + 6
	var out []tick
	for i, p := range pours {
		if !p.Date.Valid() || i > 0 && p.Date == pours[i-1].Date {
			continue
		}
		label := days.Day(p.Date)
		mid, half := slot*(vg.Length(i)+0.5), s.label.Width(label)/2
		if mid-half < free || mid+half > end {
			continue
		}
		out = append(out, tick{float64(i) + 0.5, label})
		free = mid + half + 8
	}
	return out
}

// wasteAlt tells the totals and the main causes.
func wasteAlt(u format.Units, days format.Days, by []tables.WasteBy, pours []tables.PourWaste) string {
	out := fmt.Sprintf("Stacked bars of %s", counted(len(pours), "pour", "pours"))
	first, last := pours[0].Date, pours[len(pours)-1].Date
	if first.Valid() && last.Valid() {
		out += fmt.Sprintf(" from %s to %s", days.Day(first), days.Day(last))
	}
	out += "."
	for _, b := range by {
		if b.Group == "all" {
			out += fmt.Sprintf(" Mixed %s, waste %s (%s).", u.Mass(b.PlasterKg), u.Mass(b.WasteKg), format.Percent(b.WasteShare))
		}
	}
	var causes []string
	for _, b := range by {
		if b.Group == "cause" && positive(b.WasteKg) > 0 {
			causes = append(causes, fmt.Sprintf("%s %s.", short(b.Value), u.Mass(b.WasteKg)))
		}
	}
	return out + " " + listed(causes, 8, "causes")
}
