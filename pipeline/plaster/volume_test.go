package plaster

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/stats/quad"
	"moldwright/pipeline/tables"
)

// model is a round body: its radius at each height, and its volume in closed form, mm³.
type model struct {
	name   string
	height float64
	radius func(h float64) float64
	volume float64
}

func models() []model {
	return []model{
		{"cylinder", 160, func(float64) float64 { return 60 }, math.Pi * 60 * 60 * 160},
		{"cone", 150, func(h float64) float64 { return 70 * (1 - h/150) }, math.Pi * 70 * 70 * 150 / 3},
		{"frustum", 140, func(h float64) float64 { return 75 - 35*h/140 }, math.Pi * 140 / 3 * (75*75 + 75*40 + 40*40)},
		{"sphere", 130, func(h float64) float64 { return math.Sqrt(max(0, 65*65-(h-65)*(h-65))) }, 4. / 3 * math.Pi * 65 * 65 * 65},
	}
}

// measure reads gaps of a centered round model within a wall at heights, n at each.
func measure(m model, w containment, heights []float64, n int) outline {
	o := outline{heights: heights}
	for _, h := range heights {
		var gaps []float64
		for i := range n {
			gaps = append(gaps, w.tightest(i, n)-m.radius(h))
		}
		o.gaps = append(o.gaps, gaps)
	}
	return o
}

func heightsTo(top float64, n int) []float64 {
	var hs []float64
	for i := range n {
		hs = append(hs, top*float64(i)/float64(n-1))
	}
	return hs
}

// The volumes are closed forms of geometry.
func TestNeededVolumeFromEightHeights(t *testing.T) {
	walls := map[string]containment{
		"round":  {round: true, length: 260, width: 260},
		"square": {length: 250, width: 250},
	}
	uneven := func(top float64) []float64 {
		hs := heightsTo(top, 8)
		for i := 1; i < 7; i++ {
			hs[i] += float64(i%3-1) * 0.02 * top
		}
		return hs
	}
	for name, w := range walls {
		for _, m := range models() {
			for _, n := range []int{1, 4, 8} {
				for spacing, hs := range map[string][]float64{"even": heightsTo(m.height, 8), "uneven": uneven(m.height)} {
					t.Run(fmt.Sprintf("%s in %s wall, %d gaps, %s", m.name, name, n, spacing), func(t *testing.T) {
						s := site{wall: w, cover: 50, outline: measure(m, w, hs, n)}
						got, trouble := s.volume(tables.Absent(), 2)
						require.Nil(t, trouble)
						want := (w.area()*(m.height+50) - m.volume) * litersPerCubicMM
						require.InEpsilon(t, want, got.Liters, 0.005)
						require.Greater(t, got.SE, 0.0)
						require.Equal(t, fromGaps, got.Basis)
					})
				}
			}
		}
	}
}

// An ellipse has the area π·a·b; a circle off the middle that of a circle.
func TestSectionsOfOtherOutlines(t *testing.T) {
	w := containment{length: 300, width: 200}
	ellipse := math.Pi * 100 * 60
	require.InDelta(t, ellipse, w.section([]float64{50, 40, 50, 40}), 1e-6, "gaps along length and width")
	follows := math.Pi * 100 * 50
	require.InDelta(t, follows, w.section([]float64{50}), 1e-6, "one gap: the outline follows the wall")
	require.InDelta(t, follows, w.section([]float64{45, 55}), 1e-6, "two or three gaps count by their mean")
	require.Zero(t, w.section([]float64{100}), "no width left")

	r := containment{round: true, length: 300, width: 300}
	var gaps []float64
	const radius, off = 90, 15
	for i := range 12 {
		a := 2 * math.Pi * float64(i) / 12
		gaps = append(gaps, 150-(off*math.Cos(a)+math.Sqrt(radius*radius-off*off*math.Sin(a)*math.Sin(a))))
	}
	require.InEpsilon(t, math.Pi*radius*radius, r.section(gaps), 0.01)
	corners := containment{length: 200, width: 200}
	require.InDelta(t, 200*200, corners.section([]float64{0, 0, 0, 0, 0, 0, 0, 0}), 1e-6, "never more than the inside")
}

func TestBelowTheLowestHeightTheModelGoesStraightDown(t *testing.T) {
	w := containment{round: true, length: 200, width: 200}
	m := models()[0]
	s := site{wall: w, cover: 0, outline: measure(m, w, []float64{40, 80, 120, 160}, 1)}
	got, trouble := s.volume(tables.Absent(), 0)
	require.Nil(t, trouble)
	require.InEpsilon(t, (w.area()*160-m.volume)*litersPerCubicMM, got.Liters, 1e-9)
	require.InDelta(t, 0, got.SE, 1e-9, "exact readings of an upright model leave no doubt")

	frustum := site{wall: w, cover: 0, outline: measure(models()[2], w, []float64{40, 80, 110, 140}, 1)}
	low, trouble := frustum.volume(tables.Absent(), 0)
	require.Nil(t, trouble)
	truth := (w.area()*140 - models()[2].volume) * litersPerCubicMM
	require.Less(t, math.Abs(low.Liters-truth), 2*low.SE, "the doubt about the foot covers what is missed")
}

func TestModelVolumeMeasuredDirectly(t *testing.T) {
	w := containment{round: true, length: 260, width: 260}
	m := models()[3]
	liters := m.volume * litersPerCubicMM
	want := w.area()*(m.height+50)*litersPerCubicMM - liters

	alone := site{wall: w, cover: 50, outline: outline{heights: []float64{m.height}, gaps: [][]float64{{130}}}}
	v, trouble := alone.volume(liters, 0)
	require.Nil(t, trouble)
	require.InDelta(t, want, v.Liters, 1e-9)
	require.InDelta(t, modelVolumeShare*liters, v.SE, 1e-9)
	require.Equal(t, fromModel, v.Basis)

	both := site{wall: w, cover: 50, outline: measure(m, w, heightsTo(m.height, 8), 1)}
	v2, trouble := both.volume(1.05*liters, 2)
	require.Nil(t, trouble)
	require.Equal(t, fromBoth, v2.Basis)
	require.Less(t, v2.Liters, want+1e-9)
	require.Greater(t, v2.Liters, want-0.05*liters, "between the two")
	require.Nil(t, both.disagreement(1.05*liters, 2))
	require.NotNil(t, both.disagreement(1.8*liters, 2))
}

// The linearised standard error against 4000 simulated readings of the same site.
func TestStandardErrorAgreesWithSimulation(t *testing.T) {
	walls := []containment{{round: true, length: 260, width: 260}, {length: 280, width: 240}}
	for _, w := range walls {
		for _, m := range models()[1:] {
			for _, n := range []int{1, 4} {
				s := site{wall: w, cover: 50, outline: measure(m, w, heightsTo(m.height, 8), n)}
				v, trouble := s.volume(tables.Absent(), 2)
				require.Nil(t, trouble)
				require.InEpsilon(t, simulatedSD(t, s, 2), v.SE, 0.10, "%s, %d gaps, round %v", m.name, n, w.round)
			}
		}
	}
}

func simulatedSD(t *testing.T, s site, errorMM float64) float64 {
	t.Helper()
	r := rand.New(rand.NewPCG(3, 5))
	at, se := s.readings(errorMM)
	var sum, squares float64
	const n = 4000
	for range n {
		v := make([]float64, len(at))
		for i := range at {
			v[i] = at[i] + se[i]*r.NormFloat64()
		}
		moved := s
		moved.gaps = slices.Clone(s.gaps)
		moved.set(v)
		model, err := moved.modelMM3(quad.Integrate)
		require.NoError(t, err)
		x := (moved.containedMM3() - model) * litersPerCubicMM
		sum += x
		squares += x * x
	}
	return math.Sqrt(squares/n - sum/n*sum/n)
}
