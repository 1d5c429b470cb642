package tables

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func sampleCast() Cast {
	return Cast{
		Origin: Origin{Block: 0, Row: 12}, Date: MakeDate(2025, 3, 1), TimeMin: Absent(), Mold: "M-7", DwellMin: 22,
		WallsMM: []float64{5, 5.4}, DemoldMin: Absent(), MoldMassKg: 3.2, RoomC: Absent(), RoomHumidity: Absent(),
	}
}

func TestRowsComeBackAsTheyWentIn(t *testing.T) {
	in := []Cast{sampleCast(), {Origin: Origin{0, 13}, Date: NoDate, TimeMin: Absent(), DwellMin: Absent(), DemoldMin: Absent(), MoldMassKg: Absent(), RoomC: Absent(), RoomHumidity: Absent()}}
	f := FrameOf(in...)
	defer f.Release()
	require.Equal(t, 2, f.Len())
	out := f.Row(0)
	require.Equal(t, in[0].WallsMM, out.WallsMM)
	require.Equal(t, in[0].Date, out.Date)
	require.Equal(t, in[0].Origin, out.Origin)
	require.True(t, math.IsNaN(out.TimeMin))
	require.InDelta(t, 5.2, out.WallMM(), 1e-12)
	empty := f.Row(1)
	require.Equal(t, NoDate, empty.Date)
	require.Nil(t, empty.WallsMM)
	require.False(t, Has(empty.WallMM()))
	require.Equal(t, []string{"M-7", ""}, f.Texts("mold"))
	require.Equal(t, [][]float64{{5, 5.4}, nil}, f.Lists("wall"))
	require.True(t, math.IsNaN(f.Numbers("dwell")[1]), "an absent number must not read as 0")
	require.Equal(t, []Date{MakeDate(2025, 3, 1), NoDate}, f.Dates("date"))
}

func TestInfiniteNumbersAreAbsent(t *testing.T) {
	f := FrameOf(MoldState{Mold: "a", AgeCasts: NoCount, RateMM2PerMin: math.Inf(1)})
	require.True(t, math.IsNaN(f.Row(0).RateMM2PerMin))
	require.Equal(t, NoCount, f.Row(0).AgeCasts)
}

func TestPlaceNamesTheCell(t *testing.T) {
	blocks := Blocks{{File: "log.xlsx", Sheet: "Casts", Columns: []BlockColumn{{Letter: "F", Column: "wall"}}}}
	file, sheet, cell := blocks.Place(Origin{Block: 0, Row: 12}, "wall")
	require.Equal(t, []string{"log.xlsx", "Casts", "F12"}, []string{file, sheet, cell})
	_, _, cell = blocks.Place(Origin{Block: 0, Row: 12}, "dwell")
	require.Equal(t, "12", cell)
	file, _, _ = blocks.Place(Origin{}, "wall")
	require.Empty(t, file)
}

// The contract of the design's section 4: these names, in this order, first.
func TestResultColumnsAreTheContract(t *testing.T) {
	contract := map[string]string{
		"wall_fit":        "model, term, estimate, std_error, lower_95, upper_95",
		"mold_state":      "mold, form, kind, status, age_casts, rate_mm2_per_min, wear_per_cast, wear_lower_95, wear_upper_95, usual_dwell_min, next_wall_mm, next_wall_lower_90, next_wall_upper_90",
		"dwell_guide":     "mold, age_casts, target_wall_mm, dwell_min, dwell_lower_90, dwell_upper_90",
		"remaining_casts": "mold, form, kind, age_casts, remaining_p10, remaining_p50, remaining_p90, survive_5, survive_10, survive_20, likely_cause, basis",
		"life_fit":        "kind, shape, scale, shape_se, scale_se, ended, in_use, prior_weight",
		"life_causes":     "kind, cause, age_casts, incidence, lower_95, upper_95, at_risk, ended, from_age_casts",
		"hindcast":        "what, level, forecasts, held, share",
		"watch":           "mold, flagged, since_age_casts, evidence, chance_fast_wear, false_alarm_casts",
		"pour_waste":      "pour, date, class, maker, plaster_kg, needed_kg, in_mold_kg, waste_kg, waste_lower_80, waste_upper_80, main_cause, cost",
		"waste_by":        "group, value, pours, plaster_kg, waste_kg, waste_share, cost, cost_per_good_cast",
		"overmix":         "form, estimate_error_sd, advised_overmix_share, chance_short",
		"cut_depth":       "pour, height_mm, gap_mm, cut_mm",
		"budget":          "class, period, plaster_kg_p50, plaster_kg_p10, plaster_kg_p90, bags, cost_p50",
		"casts_used":      "file, sheet, row, mold, date, age_casts, dwell_min, wall_mm, fitted_mm, residual_z, weight",
		"problems":        "file, sheet, cell, code, severity, value, message, mend",
	}
	declared := []Table{
		Of[WallFit](), Of[MoldState](), Of[DwellGuide](), Of[RemainingCasts](), Of[LifeFit](), Of[LifeCause](), Of[Hindcast](), Of[Watch](), Of[PourWaste](),
		Of[WasteBy](), Of[Overmix](), Of[CutDepth](), Of[Budget](), Of[CastUsed](), Of[Problem](),
	}
	require.Len(t, declared, len(contract))
	for _, d := range declared {
		want := strings.Split(contract[d.Name], ", ")
		require.GreaterOrEqual(t, len(d.Columns), len(want), d.Name)
		require.Equal(t, want, d.Names()[:len(want)], d.Name)
		for _, c := range d.Columns {
			require.NotEmpty(t, c.Doc, "%s.%s says what it means", d.Name, c.Name)
		}
	}
}

func TestInputsSayHowTheyAreRead(t *testing.T) {
	for _, table := range Inputs() {
		required := 0
		for _, c := range table.Columns {
			require.NotEmpty(t, c.Doc, "%s.%s", table.Name, c.Name)
			if strings.HasSuffix(c.Name, "_basis") {
				continue // taken from the header, not from a column of its own
			}
			require.NotEmpty(t, c.Kind, "%s.%s", table.Name, c.Name)
			require.Equal(t, c.Kind == KindChoice, len(c.Choices) > 0, "%s.%s", table.Name, c.Name)
			if c.Required {
				required++
			}
		}
		require.Positive(t, required, table.Name)
	}
}
