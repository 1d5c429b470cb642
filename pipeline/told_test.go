package pipeline

import (
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/format"
	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

func TestAResultIsToldInTheUnitsOfItsSettings(t *testing.T) {
	res := Result{Settings: Defaults(), Cautions: Cautions()}
	res.Log = history.Log{Molds: []history.Mold{{Mold: "Bowl 2 kg", Form: "bowl"}}}
	res.Problems = []tables.Problem{{Value: "4.9 mm", Message: "mold Bowl 2 kg: a wall near 4.9 mm was expected on 2025-03-04", Mend: "write dates as 2025-03-14, walls as “5.2 mm”, or 25 mm"}}
	res.Plaster.Budget = []tables.Budget{{Class: "all", Period: "2026-01-01 to 2026-06-30", PlasterKgP50: 42}}
	require.Equal(t, res, res.Told(), "metric and ISO is as it comes")

	us := res
	us.Settings.Units, us.Settings.Days = format.US, format.MonthDay
	told := us.Told()
	require.Equal(t, "mold Bowl 2 kg: a wall near 0.193 in was expected on Mar 4, 2025", told.Problems[0].Message)
	require.Equal(t, "write dates as 2025-03-14, walls as “5.2 mm”, or 1 in", told.Problems[0].Mend)
	require.Equal(t, "4.9 mm", told.Problems[0].Value, "as read")
	require.Equal(t, "Jan 1, 2026 to Jun 30, 2026", told.Plaster.Budget[0].Period)
	require.Equal(t, 42.0, told.Plaster.Budget[0].PlasterKgP50, "numbers stay SI")
	require.Contains(t, told.Cautions[0], "140 °F")
	require.Equal(t, told, told.Told(), "told twice is told once")
	require.Contains(t, us.Problems[0].Message, "4.9 mm", "the result itself is not changed")
	require.Contains(t, us.Cautions[0], "60 °C")
}
