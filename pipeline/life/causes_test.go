package life

import (
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

func TestReasonsBecomeCauses(t *testing.T) {
	for reason, want := range map[string]string{"worn": EndWorn, "detail": EndWorn, "broken": EndBroken, "chipped": EndBroken, "slow": EndSlow, "other": EndOther, "": EndUnknown} {
		require.Equal(t, want, Ends()[endOf(mold("A", 3, history.StatusRetired, reason))-1], reason)
	}
	require.Equal(t, EndBroken, Ends()[endOf(mold("A", 3, history.StatusBroken, ""))-1])
	require.Zero(t, endOf(mold("A", 3, history.StatusInUse, "")))
}

// By hand: of four molds one breaks at 10 (1/4), one is in use at 12, one is worn
// at 20 (¾ · ½ = 0.375), one slow at 30 (the rest).
func TestIncidenceOfEndsByHand(t *testing.T) {
	log := shelf(mold("A", 10, history.StatusBroken, ""), mold("B", 12, history.StatusInUse, ""),
		mold("C", 20, history.StatusRetired, "worn"), mold("D", 30, history.StatusRetired, "slow"))
	ans := Run(log, tables.Studio{}, wall.Answer{}, Defaults(), 1)
	require.Len(t, ans.Causes, 1)
	c := ans.Causes[0]
	require.Equal(t, []int{1, 1, 1, 0, 0}, c.Ended)
	require.Len(t, c.Steps, 3)
	for i, want := range [][3]float64{{0, 0.25, 0}, {0.375, 0.25, 0}, {0.375, 0.25, 0.375}} {
		sum := c.Steps[i].InUse
		for k, share := range c.Steps[i].Share {
			sum += share
			if k < 3 {
				require.InDelta(t, want[k], share, 1e-12)
			}
			require.LessOrEqual(t, c.Steps[i].Lower95[k], share)
			require.GreaterOrEqual(t, c.Steps[i].Upper95[k], share)
		}
		require.InDelta(t, 1, sum, 1e-12)
	}
	require.Len(t, ans.CauseRows, 9, "three causes at three ages")
	require.Equal(t, EndWorn, ans.CauseRows[0].Cause)
	require.EqualValues(t, 10, ans.CauseRows[0].AgeCasts)
}

// A mold that broke while it was the only one in view says nothing of those that
// came into view later; and one that a log meets at 40 is not at risk before.
func TestMoldsMetLateAreNotAtRiskBefore(t *testing.T) {
	late := mold("B", 60, history.StatusRetired, "worn")
	late.BeforeLog = 40
	later := late
	later.Age, later.Status, later.EndReason = 70, history.StatusInUse, ""
	c := causesOf(shelf(mold("A", 10, history.StatusBroken, ""), late, later))[0]
	require.Equal(t, 10.0, c.FromCasts)
	require.Equal(t, 2, c.Molds)
	require.Equal(t, []int{1, 0, 0, 0, 0}, c.Ended)
	require.InDelta(t, 0.5, c.Steps[0].Share[0], 1e-12)

	c = causesOf(shelf(mold("A", 10, history.StatusBroken, ""), mold("C", 50, history.StatusInUse, ""), late))[0]
	require.Zero(t, c.FromCasts)
	require.Equal(t, 2, c.Steps[0].AtRisk)
	require.InDelta(t, 0.5, c.Steps[0].Share[1], 1e-12)
}

func TestNoEndsGiveNoSteps(t *testing.T) {
	c := causesOf(shelf(mold("A", 10, history.StatusInUse, "")))
	require.Len(t, c, 1)
	require.Empty(t, c[0].Steps)
	require.Empty(t, causeRows(c))
	require.Empty(t, causesOf(shelf(mold("A", 0, history.StatusInUse, ""))))
}
