package life

import (
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

// A longer longest dwell lets molds that are ended by being slow go on; as it is it
// gives what the forecast itself gave. A new mold lasts longer than one that is half worn.
func TestProspects(t *testing.T) {
	s := shelfOf(0, nil, 80, 70, 60, 50, 40, 30)
	log, _ := history.Build(s, tables.NoDate)
	walls := wall.Run(log, s, wall.Defaults())
	set := quick()
	ans := Run(log, s, walls, set, 1)
	form, kind := log.Molds[0].Form, log.Molds[0].Kind
	ahead, err := Look(log, s, walls, set, 1, []float64{1, 1.5}, []NewMold{{Form: form, Kind: kind}, {Form: "unheard of", Kind: "split"}})
	require.NoError(t, err)
	require.Equal(t, ans.Draws, ahead.InUse[0])
	middle := func(draws []float64) float64 { return draws[len(draws)/2] }
	more := 0
	for i := range ans.Draws {
		require.GreaterOrEqual(t, middle(ahead.InUse[1][i]), middle(ans.Draws[i]))
		if middle(ahead.InUse[1][i]) > middle(ans.Draws[i]) {
			more++
		}
	}
	require.Greater(t, more, len(ans.Draws)/2)
	require.Greater(t, middle(ahead.New[0]), middle(ans.Draws[len(ans.Draws)/2]))
	require.Len(t, ahead.New[1], set.Draws)

	other, err := Look(log, s, walls, set, 1, []float64{1}, []NewMold{{Form: "unheard of", Kind: "split"}})
	require.NoError(t, err)
	for _, draws := range other.InUse[0] {
		require.Empty(t, draws, "molds of forms that nobody asks of are not looked at")
	}
	all, err := Look(log, s, walls, set, 1, []float64{1}, nil)
	require.NoError(t, err)
	require.Equal(t, ans.Draws, all.InUse[0])
}
