package ingest

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/tables"
)

func TestNumberFormats(t *testing.T) {
	for code, want := range map[string]grid.StoredAs{
		"0%": grid.AsPercent, "0.0 %": grid.AsPercent, "[h]:mm": grid.AsTime, "hh:mm AM/PM": grid.AsTime, "mm:ss": grid.AsTime, "dd/mm/yyyy": grid.AsDate, "d. mmm yy": grid.AsDate, "yyyy-mm-dd hh:mm": grid.AsDate,
		"General": grid.AsNumber, "0.00": grid.AsNumber, `0.0 "mm"`: grid.AsNumber, `#,##0 "days"`: grid.AsNumber, "[Red]0.0": grid.AsNumber, `0\h`: grid.AsNumber, "[$-409]h:mm": grid.AsTime, "0.00;[Red]-0.00": grid.AsNumber,
	} {
		require.Equal(t, want, grid.MeaningOfCode(code), code)
	}
}

// A spreadsheet stores 1:05 as 0.0451 and 45 % as 0.45: only the format tells
// them from 0.0451 h and 0.45 %.
func TestFormatsOfCellsDecideWhatNumbersMean(t *testing.T) {
	rows := [][]any{
		{"Date", "Mold", "Dwell (h)", "Wall (mm)", "RH (%)", "Demold (h)"},
		{day1(), "A", 65.0 / 1440, 5, 0.45, 0.5},
		{day1(), "B", 22.0 / 1440, 5, 0.5, 0.75},
	}
	path := workbook(t, rows, func(f *excelize.File) {
		for cells, style := range map[[2]string]excelize.Style{{"C2", "C3"}: {NumFmt: 20}, {"E2", "E3"}: {NumFmt: 9}} {
			id, err := f.NewStyle(&style)
			require.NoError(t, err)
			require.NoError(t, f.SetCellStyle("Casts", cells[0], cells[1], id))
		}
	})
	res := readAll(t, Options{}, path)
	got := casts(res)
	require.InDelta(t, 65, got[0].DwellMin, 1e-6)
	require.InDelta(t, 22, got[1].DwellMin, 1e-6)
	require.InDelta(t, 0.45, got[0].RoomHumidity, 1e-9)
	require.InDelta(t, 30, got[0].DemoldMin, 1e-9, "hours that are no times of the spreadsheet stay hours")
	require.Equal(t, []string{CodeTimeFromDate}, codes(res.Problems))
}

// A hand that types 0:22 in one row and 20 in the next means minutes both times,
// whichever of them there are more of.
func TestTimesAndMinutesInOneColumn(t *testing.T) {
	for _, times := range []int{1, 2, 3} {
		rows := [][]any{{"Date", "Mold", "Dwell (min)", "Wall (mm)"}}
		for i := range 4 {
			dwell := any(30 + i)
			if i < times {
				dwell = (22 + float64(i)) / 1440
			}
			rows = append(rows, []any{day1(), "A", dwell, 5})
		}
		path := workbook(t, rows, func(f *excelize.File) {
			id, err := f.NewStyle(&excelize.Style{NumFmt: 20})
			require.NoError(t, err)
			require.NoError(t, f.SetCellStyle("Casts", "C2", fmt.Sprintf("C%d", 1+times), id))
		})
		res := readAll(t, Options{}, path)
		got := casts(res)
		require.Len(t, got, 4, times)
		for i, c := range got {
			want := 30 + float64(i)
			if i < times {
				want = 22 + float64(i)
			}
			require.InDelta(t, want, c.DwellMin, 1e-6, "%d times of 4, row %d", times, i)
		}
		for _, p := range res.Problems {
			require.Equal(t, tables.Notice, p.Severity, p.Message)
		}
	}
}

func TestPercentCellsWithoutAFormat(t *testing.T) {
	res := readText(t, "a.csv", "Form,Drying shrinkage (%),Firing shrinkage (%)\ncup,0.04,8\nbowl,0.05,0.05\n")
	require.Equal(t, []float64{0.04, 0.05}, res.Studio.Forms.Numbers("drying_shrinkage"))
	require.Equal(t, 0.08, res.Studio.Forms.Numbers("firing_shrinkage")[0])
	require.Equal(t, []string{CodeOutOfRange, CodePercentInferred}, codes(res.Problems), "0.05 % beside 8 % is not believed")
}
