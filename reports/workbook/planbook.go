package workbook

import (
	"io"

	"moldwright/pipeline"
)

// WritePlan writes the workbook of a run plan alone: orders, day sheet, mix sheet,
// and what they rest on. The same result gives the same bytes.
func WritePlan(w io.Writer, res pipeline.Result, pics Charts) error {
	return bind(w, book{res: res, pics: pics, limits: usualLimits(), home: planSheet}, func(b *book) {
		b.runPlan()
		b.daySheet()
		b.runMix()
		b.problems()
		b.method()
	})
}
