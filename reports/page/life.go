package page

import (
	"fmt"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/life"
)

// lifeSection says how long molds of each kind last.
func lifeSection(res pipeline.Result, figs []figure) section {
	s := section{ID: "life", Title: "How many casts a mold makes"}
	if len(res.Life.Fits) == 0 && len(res.Life.Remaining) == 0 {
		s = s.leftOut(res, res.Life.WhyNot, "No forecast of remaining casts was made")
		s.figures(figs)
		return s
	}
	s.text("A mold ends when it needs a longer dwell than its form allows, when it is worn or broken, or when it makes too many rejects. What each mold has left stands under “The molds today”; this is the life of each kind, by the log and by common practice.")
	s.figures(figs)
	t := table{
		Caption: "Life in casts by kind of mold: Weibull law",
		Head: append(words("Kind"), numbers("Life|63 of 100 molds have ended by then", "Half ended by|95 % interval", "By practice alone", "By the log alone", "Shape|above 1: ends come with age", "Ended|molds",
			"In use or otherwise ended|molds", "Weight of practice|of your other kinds")...),
	}
	for _, f := range res.Life.Fits {
		t.Rows = append(t.Rows, row{Cells: []cell{
			of(f.Kind), of(format.Casts(f.Scale), labelled("standard error ", format.Fixed(f.ScaleSE, 0))),
			of(format.Casts(f.MedianLife), format.Interval(format.Fixed(f.MedianLower95, 0), format.Fixed(f.MedianUpper95, 0))),
			of(format.Casts(f.PriorScale)), of(format.Casts(f.DataScale)),
			of(format.Fixed(f.Shape, 1), labelled("standard error ", format.Fixed(f.ShapeSE, 1))),
			of(count(f.Ended)), of(count(f.InUse)), of(format.Percent(f.PriorWeight), format.Percent(f.PoolWeight)),
		}})
	}
	s.table(t)
	if c := endings(res); len(c.Rows) > 0 {
		s.table(c)
	}
	s.table(bases(res))
	s.list(sentences(res.Life.Notes))
	return s
}

// endings says what ended the molds of each kind, by the last age at which one ended.
func endings(res pipeline.Result) table {
	t := table{Caption: "What ended the molds of each kind, causes competing (Aalen-Johansen)",
		Head: append(words("Kind", "Ended by"), numbers("Molds|of those in view", "By an age of", "Share ended so|95 % interval")...)}
	for _, c := range res.Life.Causes {
		if len(c.Steps) == 0 {
			continue
		}
		last := c.Steps[len(c.Steps)-1]
		for k, end := range life.Ends() {
			if c.Ended[k] > 0 {
				t.Rows = append(t.Rows, row{Cells: []cell{of(c.Kind), of(end), of(fmt.Sprint(c.Ended[k]), fmt.Sprintf("of %d", c.Molds)), of(format.Casts(last.AgeCasts)),
					of(format.Percent(last.Share[k]), format.Interval(format.Percent(last.Lower95[k]), format.Percent(last.Upper95[k])))}})
			}
		}
	}
	return t
}

// bases says what the forecasts rest on, molds with the same grounds together.
func bases(res pipeline.Result) table {
	t := table{Caption: "What the forecasts of remaining casts rest on", Head: words("Molds", "Grounds")}
	var grounds []string
	molds := map[string][]string{}
	for _, r := range res.Life.Remaining {
		if molds[r.Basis] == nil {
			grounds = append(grounds, r.Basis)
		}
		molds[r.Basis] = append(molds[r.Basis], r.Mold)
	}
	for _, g := range grounds {
		t.Rows = append(t.Rows, cells(someNames(molds[g]), sentence(g)))
	}
	return t
}
