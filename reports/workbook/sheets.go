package workbook

import (
	"fmt"
	"io"
	"slices"

	"moldwright/pipeline"
)

// answer is a sheet with the answer to a question. One whose answer was not given
// writes nothing.
type answer struct {
	sheet string
	write func(*book)
}

// answers are the sheets in the order in which a reader asks.
func answers() []answer {
	return []answer{
		{moldsSheet, (*book).molds},
		{dwellSheet, (*book).dwellGuide},
		{remainingSheet, (*book).remaining},
		{planSheet, (*book).runPlan},
		{daySheet, (*book).daySheet},
		{runMixSheet, (*book).runMix},
		{watchSheet, (*book).watchList},
		{hindcastSheet, (*book).hindcasts},
		{wallSheet, (*book).wallLaw},
		{poursSheet, (*book).pours},
		{balanceSheet, (*book).balance},
		{wasteSheet, (*book).waste},
		{moldCostSheet, (*book).moldCost},
		{mixSheet, (*book).mix},
		{massSheet, (*book).moldMass},
		{overmixSheet, (*book).overmix},
		{cutsSheet, (*book).cutDepth},
		{budgetSheet, (*book).budget},
		{livesSheet, (*book).lives},
		{castsSheet, (*book).castsUsed},
		{filesSheet, (*book).filesRead},
		{problemsSheet, (*book).problems},
		{methodSheet, (*book).method},
	}
}

// WriteSheets writes a workbook of the summary and of the sheets with these names
// alone, in the order of the report. A sheet whose answer was not given stays away; a
// name that no sheet has is an error.
func WriteSheets(w io.Writer, res pipeline.Result, pics Charts, names ...string) error {
	chosen := slices.DeleteFunc(answers(), func(a answer) bool { return !slices.Contains(names, a.sheet) })
	for _, name := range names {
		if !slices.ContainsFunc(chosen, func(a answer) bool { return a.sheet == name }) {
			return fmt.Errorf("workbook: no sheet is named %q", name)
		}
	}
	return writeAnswers(w, res, pics, usualLimits(), chosen)
}

// writeAnswers writes a workbook of the answers and, before them, the summary.
func writeAnswers(w io.Writer, res pipeline.Result, pics Charts, lim limits, chosen []answer) error {
	return bind(w, book{res: res, pics: pics, limits: lim, home: summarySheet}, func(b *book) {
		for _, a := range chosen {
			a.write(b)
		}
		b.summary()
	})
}
