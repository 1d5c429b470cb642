package page

import (
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

func TestWasteIsJudgedByItsVerdictAndNotByItsShare(t *testing.T) {
	res := sample()
	res.Plaster.By = append(res.Plaster.By,
		tables.WasteBy{Group: "class", Value: "C-2", Pours: 2, PlasterKg: 8, WasteKg: 8, WasteShare: 1, ShrunkShare: 0.37, Lower80: 0.2, Upper80: 0.55, UsualLower: 0.08, UsualUpper: 1, Verdict: "usual", Cost: 9, CostPerGoodCast: tables.Absent()},
		tables.WasteBy{Group: "class", Value: "C-3", Pours: 30, PlasterKg: 90, WasteKg: 45, WasteShare: 0.5, ShrunkShare: 0.48, Lower80: 0.42, Upper80: 0.54, UsualLower: 0.15, UsualUpper: 0.38, Verdict: "above usual", Cost: 50, CostPerGoodCast: 1},
		tables.WasteBy{Group: "class", Value: "not given", Pours: 9, PlasterKg: 30, WasteKg: 28, WasteShare: 0.93, ShrunkShare: 0.8, Lower80: 0.7, Upper80: 0.9, UsualLower: 0.1, UsualUpper: 0.5, Verdict: "above usual", Cost: 30, CostPerGoodCast: tables.Absent()})
	_, doc := render(t, res)
	plaster := sectionOf(t, doc, "plaster")
	require.Contains(t, text(plaster), "C-2 usual 2 8.0 kg 8.0 kg 100 % 8 to 100 % 37 % 20 to 55 % 9.00 –")
	require.Contains(t, text(plaster), "C-3 above usual 30 90.0 kg 45.0 kg 50 % 15 to 38 % 48 % 42 to 54 % 50.00 1.00")
	require.Contains(t, text(plaster), "not given not compared 9 30.0 kg 28.0 kg 93 % – 30.00 –")
}

func TestBudgetOnThePageClaimsWhatToBuy(t *testing.T) {
	res := sample()
	res.Plaster.Budget[0].BagsCost = 352
	res.Plaster.WhatIf = []tables.BudgetWhatIf{{Change: "halving the failed pours", PlasterKg: 196, SavedKg: 14.2, SavedLower80: 0, SavedUpper80: 31.4, SavedCost: 17.9, Basis: "35 latest pours"}}
	_, doc := render(t, res)
	plaster := text(sectionOf(t, doc, "plaster"))
	require.Contains(t, plaster, "From 2025-09-01 to 2025-12-20 about 210 kg of plaster will be needed (80 % interval 170 to 260 kg): 11 bags of 25 kg are enough in nine terms of ten, and cost 352.")
	require.Contains(t, plaster, "Halving the failed pours 14 kg 0 to 31 kg 18 200 kg Halving the failed pours: 35 latest pours.")
}

func TestWhatToWeighAndWhenTheMoldIsDry(t *testing.T) {
	res := sample()
	res.Plaster.Mixes = []tables.Mix{{Pour: "P-15", NeededL: 3.64, NeededLow80: 3.49, NeededHigh80: 3.79, Basis: "gaps", Consistency: 70.9, PlasterKg: 3.368, WaterKg: 2.387, PlasterLb: 7.425, WaterLb: 5.263, SetKg: 5.755, DryKg: 3.995}}
	res.Plaster.Masses = []tables.MoldMass{{Mold: "M-3", Pours: "P-15", SetKg: 5.6, DryKg: 3.9, DryLower80: 3.8, DryUpper80: 4.03}}
	_, doc := render(t, res)
	require.Contains(t, text(sectionOf(t, doc, "plaster")), "P-15 3.64 L 3.49 to 3.79 L 71 3.37 kg 7.4 lb 2.39 kg 5.3 lb 5.8 kg 3.9 kg 3.8 to 4.0 kg")
}
