package workbook

import (
	"fmt"
	"strings"

	"moldwright/pipeline/format"
	"moldwright/pipeline/life"
	"moldwright/pipeline/tables"
)

// lives shows the distribution of lives of each kind of mold.
func (b *book) lives() {
	rows := b.res.Life.Fits
	if len(rows) == 0 {
		return
	}
	s, _ := openTable(b, page{
		name: livesSheet, title: "How long molds of a kind live", wide: true, once: true,
		note: "One row a kind. By the typical life 63 of 100 molds have ended. A shape above 1 means that older molds end more readily; near 1 they end at any age alike. The figure rests on three things that add up to all of it: general experience (“From common practice”), the other kinds of your studio, and the kind's own molds. “By your log alone” is empty where fewer than three molds of the kind have ended.",
	}, table[tables.LifeFit]{
		name: "lives_table", full: "tables/life_fit.csv", columns: lifeColumns(), rows: rows,
		marks: []mark{{on: "Rests on", words: practiceWords, columns: []string{"Rests on"}, tone: toneSoon}},
	})
	s.section("Where these lives come from")
	addTable(s, table[tables.LifeFit]{name: "lives_basis_table", full: "tables/life_fit.csv", columns: basisColumns(), rows: rows})
	if causes := causesOf(b.res.Life.Causes); len(causes) > 0 {
		s.section("What ended them, by the oldest age that the log tells of")
		addTable(s, table[ending]{name: "life_causes_table", full: "tables/life_causes.csv", columns: causeColumns(), rows: causes})
	}
	s.notes("What a reader must know", b.res.Life.Notes)
	s.pictures(b.chartsFor(livesSheet))
	s.close()
}

// ending is one cause of one kind at the oldest age of its log.
type ending struct {
	kind, cause         string
	ended, molds        int
	ages                string // from the first to the last end by this cause
	by                  float64
	share, lower, upper float64
}

// causesOf picks the last step of each cause that ended a mold.
func causesOf(all []life.Incidence) []ending {
	var out []ending
	for _, c := range all {
		if len(c.Steps) == 0 {
			continue
		}
		last := c.Steps[len(c.Steps)-1]
		for k, name := range life.Ends() {
			if c.Ended[k] == 0 {
				continue
			}
			e := ending{kind: c.Kind, cause: name, ended: c.Ended[k], molds: c.Molds, by: last.AgeCasts, share: last.Share[k], lower: last.Lower95[k], upper: last.Upper95[k]}
			for _, s := range c.Steps {
				if s.Ended[k] > 0 {
					age := format.Fixed(s.AgeCasts, 0)
					if first, _, more := strings.Cut(e.ages, " to "); e.ages == "" {
						e.ages = age
					} else if first != age || more {
						e.ages = first + " to " + age
					}
				}
			}
			out = append(out, e)
		}
	}
	return out
}

func causeColumns() []column[ending] {
	return []column[ending]{
		{head: "Kind", value: func(r ending) value { return words(r.kind) }},
		{head: "Ended by", value: func(r ending) value { return words(r.cause) }},
		{head: "Molds ended so", value: func(r ending) value { return whole(r.ended) }},
		{head: "Of molds in view", value: func(r ending) value { return whole(r.molds) }},
		{head: "At ages (casts)", value: func(r ending) value { return words(r.ages) }},
		{head: "By an age of (casts)", value: func(r ending) value { return casts(r.by) }},
		{head: "Share ended so", value: func(r ending) value { return percent(r.share) }},
		{head: "Lower 95 %", value: func(r ending) value { return percent(r.lower) }},
		{head: "Upper 95 %", value: func(r ending) value { return percent(r.upper) }},
	}
}

const practiceWords = "mostly common practice"

func lifeColumns() []column[tables.LifeFit] {
	type row = tables.LifeFit
	return []column[row]{
		{head: "Kind", value: func(r row) value { return words(r.Kind) }},
		{head: "Typical life (casts)", value: func(r row) value { return alike(r.Scale, r.ScaleSE) }},
		{head: "Standard error (casts)", value: func(r row) value { return significant(r.ScaleSE, 2) }},
		{head: "Half ended by (casts)", value: func(r row) value { return casts(r.MedianLife) }},
		{head: "Half: lower 95 % (casts)", value: func(r row) value { return casts(r.MedianLower95) }},
		{head: "Half: upper 95 % (casts)", value: func(r row) value { return casts(r.MedianUpper95) }},
		{head: "Molds ended", value: func(r row) value { return count(r.Ended) }},
		{head: "Molds in use or ended otherwise", value: func(r row) value { return count(r.InUse) }},
		{head: "Rests on", value: func(r row) value { return words(restsOn(r)) }},
	}
}

func basisColumns() []column[tables.LifeFit] {
	type row = tables.LifeFit
	return []column[row]{
		{head: "Basis of kind", value: func(r row) value { return words(r.Kind) }},
		{head: "Typical life by practice alone (casts)", value: func(r row) value { return casts(r.PriorScale) }},
		{head: "Typical life by your log alone (casts)", value: func(r row) value { return casts(r.DataScale) }},
		{head: "Shape", value: func(r row) value { return alike(r.Shape, r.ShapeSE) }},
		{head: "Standard error of shape", value: func(r row) value { return significant(r.ShapeSE, 2) }},
		{head: "From common practice", value: func(r row) value { return percent(r.PriorWeight) }},
		{head: "From your other kinds", value: func(r row) value { return percent(r.PoolWeight) }},
	}
}

func restsOn(r tables.LifeFit) string {
	switch {
	case !known(r.PriorWeight):
		return ""
	case r.PriorWeight > 0.5:
		return practiceWords
	case r.PriorWeight+r.PoolWeight > 0.5:
		return "mostly common practice and your other kinds"
	case r.Ended == 1:
		return "1 ended mold"
	case r.Ended == tables.NoCount:
		return "your log"
	}
	return fmt.Sprintf("%d ended molds", r.Ended)
}
