package workbook

import (
	"slices"
	"strings"

	"moldwright/pipeline/advice"
)

// absence says why a sheet may be absent although its stage ran.
type absence struct {
	sheet   string
	stage   string // why its stage gave nothing, "" where it gave something
	because string
	add     string
}

func (b *book) absences() []absence {
	wall, life, watch, plaster := b.res.Wall.WhyNot, b.res.Life.WhyNot, b.res.Watch.WhyNot, b.res.Plaster.WhyNot
	return []absence{
		{moldsSheet, wall, "no mold was read", "a casts sheet with date, mold, dwell and wall"},
		{dwellSheet, wall, "no mold in use makes a form with a target wall", "target_wall on a forms sheet"},
		{remainingSheet, life, "no mold is in use", "a molds sheet with the status of each mold"},
		{planSheet, b.res.Plan.WhyNot, "no order was read", "an orders sheet with form, pieces and due day; or ask for one order with moldwright plan"},
		{watchSheet, watch, "no mold has measured casts", "dwell and wet wall of every cast"},
		{wallSheet, wall, "no cast has both a dwell and a wall", "dwell and wet wall of every cast"},
		{poursSheet, plaster, "no pour was read", "a pours sheet with date, plaster and water of every pour"},
		{wasteSheet, plaster, "no pour was read", "a pours sheet with date, plaster and water of every pour"},
		{overmixSheet, plaster, "too few pours tell how far your estimates are off", "gaps of several pours of each form, and what was left over"},
		{cutsSheet, plaster, "no gaps of a split mold were read", "a gaps sheet, and split as the kind of the mold"},
		{budgetSheet, plaster, "the log of pours is too short", "half a year of pours"},
		{livesSheet, life, "no mold is in the log", "a molds sheet with the end of each mold"},
		{castsSheet, wall, "no cast has both a dwell and a wall", "dwell and wet wall of every cast"},
	}
}

// missing is what the pipeline says was not given, and every other sheet of
// answers that stays away.
func (b *book) missing() []advice.Missing {
	out := slices.Clone(b.res.NotGiven)
	for _, a := range b.absences() {
		if b.has(a.sheet) || slices.ContainsFunc(out, func(m advice.Missing) bool { return tells(m, a) }) {
			continue
		}
		m := advice.Missing{Answer: a.sheet, Because: a.because, Add: a.add}
		if a.stage != "" {
			m.Because = a.stage
		}
		out = append(out, m)
	}
	return out
}

// tells reports whether m says why the sheet is absent.
func tells(m advice.Missing, a absence) bool {
	return a.stage != "" && m.Because == a.stage || strings.Contains(strings.ToLower(m.Answer), strings.ToLower(a.sheet))
}
