package workbook

import (
	"fmt"
	"math"

	"moldwright/pipeline/tables"
)

// The dwell guide works itself out anew for another target wall: each row holds
// the law of its mold at each age, dwell = a·wall^power + b·wall, in columns that
// are folded away, and dwells and ranges are formulas on them.

func targetHead(in written) string { return in.ofLength("Target wall") }

const powerHead = "Law: power"

// lawHead names a column of the law at a step.
func lawHead(part string, step tables.Count) string { return fmt.Sprintf("Law: %s +%d", part, step) }

// Parts of the law at a step.
const (
	partA     = "a"
	partB     = "b"
	partBelow = "log spread low"
	partAbove = "log spread high"
	partDwell = "dwell"
	partLow   = "low"
	partHigh  = "high"
)

// longestDwell bounds the guide: a dwell of more than a day is no advice.
const longestDwell = 24 * 60

const overADay = "over a day"

// dwell is the dwell at a step, rounded as people read it.
func (r guideRow) dwell(step tables.Count) value {
	g, ok := r.steps[step]
	if !ok {
		return value{}
	}
	v := dwellMin(g.DwellMin)
	if v.is == isEmpty {
		v = words(overADay)
	}
	if v.number >= 10 {
		v.number = math.Round(v.number)
	}
	if known(r.longest) && g.DwellMin > r.longest {
		v.text += tooLong // the cell gets the sign by its conditional format
	}
	v.code = dwellCode
	if !known(g.LawA) {
		return v
	}
	x := "{" + lawHead(partDwell, step) + "}"
	return v.by("IF(N(" + x + ")<=0,\"\",IF(" + x + ">" + number(longestDwell) + ",\"" + overADay + "\"," + roundedDwell(x) + "))")
}

// dwellCode shows the digits that dwellMin does.
const dwellCode = `[<10]0.0;0`

func roundedDwell(x string) string {
	return "IF(" + x + "<10,ROUND(2*" + x + ",0)/2,ROUND(" + x + ",0))"
}

func dwellText(x string) string {
	return "IF(" + x + "<10,FIXED(ROUND(2*" + x + ",0)/2,1,TRUE),FIXED(" + x + ",0,TRUE))"
}

// dwellRange is the range of the dwell at a step in words.
func (r guideRow) dwellRange(step tables.Count) value {
	g, ok := r.steps[step]
	if !ok {
		return value{}
	}
	v := span(dwellMin(g.DwellLower90), dwellMin(g.DwellUpper90))
	if !known(g.LawA) {
		return v
	}
	if v.is == isEmpty {
		v.is = isText
	}
	low, high := "{"+lawHead(partLow, step)+"}", "{"+lawHead(partHigh, step)+"}"
	return v.by("IF(COUNT(" + low + "," + high + ")=2," + dwellText(low) + "&\"–\"&" + dwellText(high) + ",\"\")")
}

// lawColumns hold what the dwells are worked out from, and the dwells unrounded.
func lawColumns(in written, steps []tables.Count) []column[guideRow] {
	cols := []column[guideRow]{{head: powerHead, fold: true, value: func(r guideRow) value { return significant(r.steps[0].LawPower, 4) }}}
	for _, step := range steps {
		at := func(of func(guideRow, tables.DwellGuide) value) func(guideRow) value {
			return func(r guideRow) value {
				g, ok := r.steps[step]
				if !ok || !known(g.LawA) {
					return value{}
				}
				return of(r, g)
			}
		}
		add := func(part string, of func(guideRow, tables.DwellGuide) value) {
			cols = append(cols, column[guideRow]{head: lawHead(part, step), fold: true, value: at(of)})
		}
		add(partA, func(_ guideRow, g tables.DwellGuide) value { return significant(in.lawA(g), 3) })
		add(partB, func(_ guideRow, g tables.DwellGuide) value { return significant(in.lawB(g), 3) })
		add(partBelow, func(_ guideRow, g tables.DwellGuide) value { return significant(g.SpreadLower, 2) })
		add(partAbove, func(_ guideRow, g tables.DwellGuide) value { return significant(g.SpreadUpper, 2) })
		add(partDwell, func(_ guideRow, g tables.DwellGuide) value { return in.dwellByLaw(step, g) })
		add(partLow, func(_ guideRow, g tables.DwellGuide) value { return in.endByLaw(step, g.DwellLower90, partBelow, "-") })
		add(partHigh, func(_ guideRow, g tables.DwellGuide) value { return in.endByLaw(step, g.DwellUpper90, partAbove, "") })
	}
	return cols
}

// lawA and lawB are the law's a and b for walls in the report's unit.
func (w written) lawA(g tables.DwellGuide) float64 {
	return g.LawA * math.Pow(1/w.units.Length().Of(1), g.LawPower)
}

func (w written) lawB(g tables.DwellGuide) float64 { return g.LawB / w.units.Length().Of(1) }

func (w written) dwellByLaw(step tables.Count, g tables.DwellGuide) value {
	v := unrounded(g.DwellMin)
	wall := "{" + targetHead(w) + "}"
	return v.by("IF(N(" + wall + ")>0,MAX(0,{" + lawHead(partA, step) + "}*" + wall + "^{" + powerHead + "}+{" + lawHead(partB, step) + "}*" + wall + "),\"\")")
}

// endByLaw is an end of the range: the spread of the log of the wall, times how
// steeply dwell grows with wall.
func (w written) endByLaw(step tables.Count, end float64, spread, sign string) value {
	wall, dwell := "{"+targetHead(w)+"}", "{"+lawHead(partDwell, step)+"}"
	s := "{" + lawHead(spread, step) + "}"
	cake := "{" + lawHead(partA, step) + "}*" + wall + "^{" + powerHead + "}"
	steep := "({" + powerHead + "}*" + cake + "+{" + lawHead(partB, step) + "}*" + wall + ")/" + dwell
	x := "MIN(" + number(longestDwell) + "," + dwell + "*EXP(" + sign + s + "*" + steep + "))"
	return unrounded(end).by("IF(AND(COUNT(" + dwell + "," + s + ")=2,N(" + dwell + ")>0,N(" + dwell + ")<=" + number(longestDwell) + ")," + x + ",\"\")")
}

// unrounded is a dwell for formulas to go on with; it shows no more than is known.
func unrounded(min float64) value {
	v := dwellMin(min)
	v.code = dwellCode
	if v.is == isEmpty {
		return value{is: isText, code: dwellCode}
	}
	v.number = min
	return v
}
