package advice

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/history"
	"moldwright/pipeline/plan"
	"moldwright/pipeline/tables"
)

func planned(chance float64, newMolds tables.Count, withNew float64) tables.PlanOrder {
	due := tables.MakeDate(2026, time.March, 20)
	return tables.PlanOrder{
		Order: 1, Form: "bowl", Pieces: 60, Due: due, ChanceOnTime: chance, ShortP90: 12, NewMolds: newMolds, ChanceWithNew: withNew,
		PourBy: due - 30, MoldsInHand: 3, FeasibleBy: due, PlasterKg: tables.Absent(), SlipKg: tables.Absent(),
	}
}

func TestEachOrderGetsAVerdictAndADeed(t *testing.T) {
	no, none := tables.Absent(), tables.NoCount
	fine, pour, short, late, unknown := planned(0.95, 0, 0.95), planned(0.12, 4, 0.93), planned(0.12, 4, 0.6), planned(0, none, no), planned(no, none, no)
	hopeless := planned(0.3, none, no)
	hopeless.FeasibleBy = tables.NoDate
	fine.ShortP90 = 0
	short.FeasibleBy += 21
	late.FeasibleBy += 21
	late.WhyNot = "a mold poured now is dry after the due day"
	unknown.FeasibleBy, unknown.WhyNot = tables.NoDate, "no form of the name bowl is known"
	for _, c := range []struct {
		order         tables.PlanOrder
		verdict       string
		urgent        bool
		finding, deed []string
	}{
		{fine, VerdictFine, false, []string{"bowl: 60 pieces by 2026-03-20.", "On time very likely (95 %) with the 3 molds in hand."}, []string{"day sheet"}},
		{pour, VerdictPour, true, []string{"unlikely (12 %)", "in one run of ten more than 12 pieces would be missing", "With 4 new molds: 93 %."}, []string{"Pour 4 new molds by 2026-02-18"}},
		{short, VerdictPour, true, []string{"With 4 new molds: 60 %."}, []string{"Pour 4 new molds", "Ask for 2026-04-10 or later: the first day with a chance of 90 %."}},
		{late, VerdictMove, true, []string{"very unlikely (<1 %)", " A mold poured now is dry after the due day."}, []string{"Ask for 2026-04-10"}},
		{hopeless, VerdictNone, true, []string{"rather unlikely (30 %)"}, []string{"Take fewer pieces"}},
		{unknown, VerdictNone, true, []string{"No plan: no form of the name bowl is known."}, []string{"Mend the order"}},
	} {
		require.Equal(t, c.verdict, Verdict(c.order, 0.9))
		items := Items(Input{Goal: 0.9, Plan: plan.Answer{Orders: []tables.PlanOrder{c.order}}})
		require.Len(t, items, 1)
		require.Equal(t, c.urgent, items[0].Urgent, c.verdict)
		for _, want := range c.finding {
			require.Contains(t, items[0].Finding, want)
		}
		for _, want := range c.deed {
			require.Contains(t, items[0].Do, want)
		}
	}
}

func TestAnOrderOfThePastNeedsNoDeed(t *testing.T) {
	past := planned(0, tables.NoCount, tables.Absent())
	past.WhyNot = "the due day has passed"
	require.Empty(t, Items(Input{Goal: 0.9, Log: history.Log{AsOf: past.Due + 1}, Plan: plan.Answer{Orders: []tables.PlanOrder{past}}}))
}
