package plaster

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// longRunStudio casts bowls from split molds that last 30 casts each, day after day,
// and has conventional ones that have lasted 90, poured with twice the plaster.
func longRunStudio() (book, history.Log) {
	b := book{set: Defaults(), links: links{molds: []moldFacts{{}}, made: grouped{from: []int32{0, 0}}}}
	log := history.Log{AsOf: tables.MakeDate(2025, 12, 31)}
	day := tables.MakeDate(2024, 1, 1)
	add := func(name, kind string, casts int, kg float64) {
		m := history.Mold{Mold: name, Form: "bowl", Kind: kind, Status: "broken", Age: casts, First: len(log.Casts)}
		for range casts {
			log.Casts = append(log.Casts, history.Cast{Date: day, Result: history.Good})
			day++
		}
		m.Last = len(log.Casts)
		log.Molds = append(log.Molds, m)
		p := pour("P-"+name, kg)
		p.Mold, p.Date = name, tables.MakeDate(2024, 1, 1)+tables.Date(len(b.entries)*30)
		number := int32(len(b.links.molds))
		b.entries = append(b.entries, entry{Pour: p, number: number, own: number, form: "bowl", kind: kind, usable: true, balance: balanceOf(kg, true, weighed{0, 0, 0}, noMass(), plainHabits(), b.set)})
		b.links.molds = append(b.links.molds, moldFacts{form: "bowl", kind: kind, listed: true, casts: casts, goodCasts: casts})
		b.links.made.all = append(b.links.made.all, number)
		b.links.made.from = append(b.links.made.from, number)
	}
	for i := range 24 {
		add(fmt.Sprintf("S%d", i), kindSplit, 28+i%5, 4)
	}
	for i := range 4 {
		day = tables.MakeDate(2023, 1, 1)
		add(fmt.Sprintf("C%d", i), "one-piece", 88+i, 8)
	}
	return b, log
}

func TestConventionalMoldsForLongRuns(t *testing.T) {
	b, log := longRunStudio()
	rows, ahead := b.budget(log.AsOf, 25)
	require.NotEmpty(t, rows)
	runs := b.longRuns(log, ahead.coming, log.AsOf)
	require.Len(t, runs, 1)
	c := runs[0]
	require.InDelta(t, 4, c.splitKg.kg, 1e-9)
	require.InDelta(t, 8, c.otherKg.kg, 1e-9)
	require.InDelta(t, 30, c.splitLife.Mean(), 1.5)
	require.InDelta(t, 90, c.otherLife.Mean(), 8)
	change := b.whatIf(ahead, nil, runs)
	last := change[len(change)-1]
	require.Equal(t, "conventional molds for the long runs of bowl", last.Change)
	// A cast takes 4/30 kg of split mold, 8/90 of a conventional one.
	require.InEpsilon(t, c.castsTerm*(4/30.-8/90.), last.SavedKg, 0.15)
	require.Less(t, last.SavedLower80, last.SavedKg)
	require.Contains(t, last.Basis, "24 ended split and 4 ended conventional")

	b.entries, log.Molds = b.entries[:24], log.Molds[:24]
	alone := b.longRuns(log, ahead.coming, log.AsOf)[0]
	require.InDelta(t, 4, alone.otherKg.kg, 1e-9)
	require.Contains(t, alone.massBasis, "assumed")
	require.Contains(t, alone.lifeBasis, "0 ended conventional", "common practice stands in, and is said to")
	require.InDelta(t, 92, alone.otherLife.Mean(), 10)

	log.AsOf += 800
	require.Empty(t, b.longRuns(log, ahead.coming, log.AsOf), "no casts in the last year")
}
