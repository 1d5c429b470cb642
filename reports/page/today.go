package page

import (
	"fmt"
	"slices"

	"moldwright/pipeline"
	"moldwright/pipeline/advice"
)

// reader is one of those for whom the report is made, and what to do next.
type reader struct {
	Name  string
	Items []item
	More  string // what is left out, "" for nothing
}

type item struct {
	Urgent  bool
	Finding string
	Do      string
	Where   string // where the figures stand, "" where nowhere
	OfPlan  bool   // about an order
}

// readers sorts the advice by reader, urgent items first and otherwise in the
// order given. The three readers always appear; others follow as they come.
func readers(res pipeline.Result) []reader {
	out := []reader{{Name: advice.ForPotter}, {Name: advice.ForShelf}, {Name: advice.ForInstructor}}
	for _, it := range res.Advice {
		i := slices.IndexFunc(out, func(r reader) bool { return r.Name == it.For })
		if i < 0 {
			i = len(out)
			out = append(out, reader{Name: it.For})
		}
		next := item{Urgent: it.Urgent, Finding: stopped(it.Finding), Do: sentence(it.Do), OfPlan: it.Sheet == advice.SheetPlan || it.Sheet == advice.SheetDay}
		if it.Sheet != "" {
			next.Where = fmt.Sprintf("Figures: sheet “%s” of report.xlsx.", it.Sheet)
		}
		out[i].Items = append(out[i].Items, next)
	}
	for i := range out {
		r := &out[i]
		slices.SortStableFunc(r.Items, func(a, b item) int { return urgency(a) - urgency(b) })
		if all := len(r.Items); all > itemsShown {
			r.Items = r.Items[:itemsShown]
			r.More = fmt.Sprintf("Shown are %d of %d things; all stand on the sheet “Summary” of report.xlsx.", itemsShown, all)
		}
	}
	return out
}

func urgency(i item) int {
	if i.Urgent {
		return 0
	}
	return 1
}
