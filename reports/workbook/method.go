package workbook

import (
	"moldwright/pipeline/format"
)

// methodRow is one thing that a reader may ask about how the answers came about.
type methodRow struct{ part, subject, text string }

// Parts of the method.
const (
	partEquation   = "Equation"
	partSetting    = "Setting"
	partAssumption = "Assumption"
	partSource     = "Source"
	partCaution    = "Caution"
)

// method says how the answers of this workbook were worked out. Answers that
// were not given are not explained.
func (b *book) method() {
	rows := b.equations()
	rows = append(rows, b.assumptions()...)
	rows = append(rows, b.settings()...)
	rows = append(rows, b.sources()...)
	for _, c := range b.res.Cautions {
		rows = append(rows, methodRow{partCaution, "", c})
	}
	s, _ := openTable(b, page{
		name: methodSheet, title: "How all this was worked out", wide: true,
		note: "Filter the first column: equations, assumptions, settings of this run, sources, cautions. Sources marked “from memory” were not at hand to be checked; “common practice” has no source.",
	}, table[methodRow]{
		name: "method_table", full: "run.json", rows: rows, none: "Nothing was worked out.",
		columns: []column[methodRow]{
			{head: "Part", value: func(r methodRow) value { return words(r.part) }},
			{head: "Subject", most: 34, value: func(r methodRow) value { return words(r.subject) }},
			{head: "What was done", most: 110, value: func(r methodRow) value { return words(r.text) }},
		},
	})
	s.close()
}

// settings are the choices that this run depended on.
func (b *book) settings() []methodRow {
	set := b.res.Settings
	rows := []methodRow{
		{partSetting, "Day the forecasts start from", set.Days.Day(b.asOf())},
		{partSetting, "Seed of the random draws", format.Fixed(float64(set.Seed), 0)},
	}
	add := func(subject, text string) { rows = append(rows, methodRow{partSetting, subject, text}) }
	if b.has(moldsSheet) {
		w := set.Wall
		add("Usable casts below which no law is fitted", number(w.LeastCasts))
		add("Steps of the dwell guide", number(w.GuideSteps)+" after the present one, "+number(w.GuideStride)+" casts apart")
		add("Usual dwell", "median of a mold's last "+number(w.UsualDwellOf)+" casts")
	}
	if b.has(remainingSheet) {
		add("Random draws a mold", number(set.Life.Draws))
		add("Most further casts looked at", number(set.Life.Horizon))
	}
	if b.has(planSheet) && len(b.res.Plan.Orders) > 0 {
		add("Simulated runs of the plan", number(b.res.Plan.Simulation.Draws))
		add("Chance on time that new molds are to give", format.Percent(set.Plan.Goal))
	}
	if b.has(watchSheet) {
		w := set.Watch
		add("Casts between two false flags of a healthy mold, all evidence together", format.Fixed(w.InControlRun, 0))
		add("Reference value of the running sum", format.Fixed(w.Reference, 2)+" standard deviations")
		add("Fast wear", format.Fixed(w.FastWear, 2)+" times its kind's; told from a chance of "+format.Percent(w.FlagChance))
		add("Rise of rejects to be noticed", format.Fixed(w.RejectRise, 1)+" times the usual share")
	}
	if b.has(hindcastSheet) {
		h := set.Hindcast
		add("Past dates forecast from, at most", number(h.Origins))
		add("Scored forecasts before intervals are rescaled", number(h.LeastScored)+", and a share off by more than "+format.Fixed(h.Doubt, 0)+" standard errors")
	}
	if b.has(poursSheet) {
		p := set.Plaster
		add("Density of dry plaster (hemihydrate)", format.Fixed(p.PlasterDensity, 2)+" g/cm³")
		add("Density of water", format.Fixed(p.WaterDensity, 3)+" g/cm³")
		add("Error of one gap or height reading", set.Units.Wall(p.ReadingErrorMM)+", standard error")
		add("Error of a weighed mass", format.Wear(p.WeighingShare)+", standard error")
		add("Nearest that a saw cut comes to the model", set.Units.Ruler(p.SawMargin()))
		add("Bag of plaster where the price list names none", set.Units.Mass(p.BagKg))
	}
	add("“"+fewWords+"”, “"+soonWords+"”", "middle or low forecast of "+number(fewCasts)+" casts or fewer")
	add("“"+highWords+"”", "more than "+format.Percent(highWaste)+" of the plaster mixed; a mark for the eye, no test")
	return rows
}

// assumptions are what the stages say a reader must know.
func (b *book) assumptions() []methodRow {
	var rows []methodRow
	add := func(subject string, texts []string) {
		for _, t := range texts {
			rows = append(rows, methodRow{partAssumption, subject, t})
		}
	}
	if b.res.Wall.ChosenBy != "" {
		add("Wall law", []string{b.lawInWords()})
	}
	add("Wall law, left out", b.res.Wall.Dropped)
	add("Remaining casts", b.res.Life.Notes)
	add("Watch list", b.res.Watch.Notes)
	add("Earlier forecasts", b.res.Hindcast.Notes)
	add("Plaster", b.res.Plaster.Notes)
	return rows
}
