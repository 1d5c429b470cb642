package life

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/wander"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
)

func TestAPathCrossesWhereItsDwellPassesTheLimit(t *testing.T) {
	lim := limit{wallMM: 5, dwellMin: 40}
	// log wall = log 5 at 40 min and age 10.5; the wall falls with age.
	p := wall.PowerCourse{Exponent: 0.5, Slope: -0.01}
	p.Base = math.Log(5) - 0.5*math.Log(40) + 0.01*10.5
	series := wall.SeriesCourse{A: 1, PerCast: (40.0/5 - 5) / 10.5}
	for _, c := range []wall.Course{p, series} {
		for age := range 20 { // against the definition
			w := way{path: straightOn(c, lim, float64(age)), course: c, lim: lim}
			first := func(longest float64) int {
				n := 0
				for c.DwellNeeded(5, float64(n)) <= longest {
					n++
				}
				return n
			}
			require.Equal(t, 11, first(40))
			require.Equal(t, 11.0, w.crossed(w.end(0)))
			require.Equal(t, float64(max(11, age)), w.crosses(w.end(0), 100))
			const shift = 0.043
			require.Equal(t, float64(first(40*math.Exp(shift))), w.crossed(w.end(shift)))
		}
	}
	p.Slope = 0.01
	w := way{path: straightOn(p, lim, 30), course: p, lim: lim}
	require.True(t, math.IsInf(w.crossed(0), 1))
	require.Equal(t, 101.0, w.crosses(0, 100))
}

// A mold in use whose walls say that it passed the limit tells that the studio goes
// on; molds taken out as soon as they passed tell the opposite.
func TestHabitsAreLearnedFromWhatBecameOfSlowMolds(t *testing.T) {
	at := func(age int, slow bool) witness {
		c := wall.SeriesCourse{A: 1, PerCast: 1}
		lim := limit{wallMM: 1, dwellMin: 20.5} // passes at 20
		return witness{mold: history.Mold{Age: age}, slow: slow, draws: []way{{path: straightOn(c, lim, float64(age)), course: c, lim: lim}}}
	}
	var strict, casual []witness
	for range 12 {
		strict = append(strict, at(20, true))
		casual = append(casual, at(35, false))
	}
	none, _ := learnHabits(nil).middle()
	few, _ := learnHabits(strict).middle()
	many, _ := learnHabits(casual).middle()
	require.Less(t, few, none)
	require.Greater(t, many, 3*none)
}

// shelfOf invents molds that wear alike but for chance, by the filtration law
// t = L²/1.3 + B·L with B = 0.02·n in min/mm and a random walk of so much per
// cast beside it; some have ended.
func shelfOf(walk float64, ends map[int]string, casts ...int) tables.Studio {
	rng := rand.New(rand.NewPCG(5, uint64(1000*walk)))
	no := tables.Absent()
	var molds []tables.Mold
	var rows []tables.Cast
	for m, n := range casts {
		mold := tables.Mold{Mold: fmt.Sprint("M", m), Form: "cup", Kind: "one-piece", CastsBeforeLog: tables.NoCount, InService: tables.NoDate, EndedOn: tables.NoDate}
		if why, ok := ends[m]; ok {
			mold.Status, mold.EndReason, mold.EndedOn = history.StatusRetired, why, tables.MakeDate(2025, 1, 1)+tables.Date(2*n)
		}
		molds = append(molds, mold)
		wear, b := 0.02*math.Exp(0.15*rng.NormFloat64()), 0.0
		for i := range n {
			const a, t = 1 / 1.3, 15.0
			w := 2 * t / (b + math.Sqrt(b*b+4*a*t)) * math.Exp(0.02*rng.NormFloat64())
			rows = append(rows, tables.Cast{Mold: mold.Mold, Date: tables.MakeDate(2025, 1, 1) + tables.Date(2*i), TimeMin: no, DwellMin: t, WallsMM: []float64{w},
				DemoldMin: no, MoldMassKg: no, RoomC: no, RoomHumidity: no, Age: tables.NoCount})
			b = max(0, b+wear+walk*rng.NormFloat64())
		}
	}
	form := tables.Form{Form: "cup", TargetWallMM: 4, WallToleranceMM: 0.5, LongestDwellMin: 20, CastsPerDay: no, RestHours: no,
		PiecesPerKgSlip: no, DryingShrinkage: no, FiringShrinkage: no, TargetFiredWallMM: no}
	return tables.Studio{Molds: tables.FrameOf(molds...), Casts: tables.FrameOf(rows...), Forms: tables.FrameOf(form)}
}

func answered(s tables.Studio, set Settings) Answer {
	log, _ := history.Build(s, tables.NoDate)
	return Run(log, s, wall.Run(log, s, wall.Defaults()), set, 1)
}

// pathsOf are the paths that the data choose.
func pathsOf(t *testing.T, log history.Log, s tables.Studio, walls wall.Answer) *paths {
	t.Helper()
	k, err := Learn(log, s, walls, quick(), 1)
	require.NoError(t, err)
	return k.paths(PathByData)
}

func quick() Settings {
	set := Defaults()
	set.Draws = 500
	return set
}

// The data choose between straight and wandering paths, unless one is set.
func TestTheWallsTellWhetherPathsWander(t *testing.T) {
	ages := []int{70, 60, 55, 50, 45, 40, 30, 20}
	straight, wandering := shelfOf(0, nil, ages...), shelfOf(0.12, nil, ages...)
	require.False(t, answered(straight, quick()).Wandering)
	require.True(t, answered(wandering, quick()).Wandering)
	set := quick()
	set.Path = PathWandering
	require.True(t, answered(straight, set).Wandering)
	set.Path = PathStraight
	require.False(t, answered(wandering, set).Wandering)
}

func spread(r tables.RemainingCasts) float64 { return r.RemainingP90 - r.RemainingP10 }

// Molds that ended slow or worn tell how fast the kind wears: a young mold's
// forecast is narrower for them, and follows their wear.
func TestEndedMoldsInformThePath(t *testing.T) {
	young := func(s tables.Studio) tables.RemainingCasts {
		log, _ := history.Build(s, tables.NoDate)
		p := pathsOf(t, log, s, wall.Run(log, s, wall.Defaults()))
		for m, mold := range log.Molds {
			if mold.Mold == "M0" {
				require.NotNil(t, p.drawer(m))
				var draws []float64
				for _, w := range p.drawer(m).draws(4000, generator(1, "young"), &room{}) {
					draws = append(draws, w.crosses(0, 2000))
				}
				slices.Sort(draws)
				return Summarise(tables.RemainingCasts{}, draws)
			}
		}
		t.Fatal("no such mold")
		return tables.RemainingCasts{}
	}
	alone := young(shelfOf(0, nil, 5, 12, 12, 12))
	helped := young(shelfOf(0, map[int]string{4: "slow", 5: "worn", 6: "slow", 7: "worn"}, 5, 12, 12, 12, 100, 90, 100, 90))
	require.Less(t, spread(helped), 0.8*spread(alone))
	require.InDelta(t, (20.0/4-4/1.3)/0.02, helped.RemainingP50, 20, "by the law the resistance may grow by 1.92 min/mm, 0.02 with each cast")
}

// What a mold's end tells: slow ones how strictly the studio goes by its limit;
// broken and chipped ones how long their kind lives; the others nothing of either.
func TestWhatAnEndTells(t *testing.T) {
	ages := []int{120, 115, 110, 105, 40, 20}
	fitted := func(why string) (casual float64, ended tables.Count) {
		ends := map[int]string{}
		for m := range 4 {
			ends[m] = why
		}
		s := shelfOf(0, ends, ages...)
		log, _ := history.Build(s, tables.NoDate)
		p := pathsOf(t, log, s, wall.Run(log, s, wall.Defaults()))
		casual, _ = p.habits.middle()
		return casual, answered(s, quick()).Fits[0].Ended
	}
	slow, n := fitted("slow") // within some 20 casts of the limit at about 96
	require.EqualValues(t, 0, n)
	broken, n := fitted("broken") // went on past the limit until they broke
	require.EqualValues(t, 4, n)
	other, n := fitted("other")
	require.EqualValues(t, 0, n)
	require.Less(t, slow, broken)
	require.Equal(t, broken, other, "neither was taken out for being slow")
}

// The fit's paths are those of the wall model: the mean path of a mold of many
// casts crosses where the wall model's own course does.
func TestPathsAgreeWithTheWallModel(t *testing.T) {
	s := shelfOf(0, nil, 80, 70, 60, 50, 40, 30)
	log, _ := history.Build(s, tables.NoDate)
	walls := wall.Run(log, s, wall.Defaults())
	p := pathsOf(t, log, s, walls)
	require.NotNil(t, p.model)
	for m := 1; m < len(log.Molds); m++ { // the first is past its limit
		joint, ok := walls.Posterior.RestedDrawer(m)
		require.True(t, ok)
		rng := generator(1, "")
		var ours, theirs []float64
		for _, w := range p.drawer(m).draws(2001, generator(1, "ours"), &room{}) {
			ours = append(ours, w.crosses(0, 2000))
			theirs = append(theirs, joint.Draw(rng).LastAge(4, 20))
		}
		slices.Sort(ours)
		slices.Sort(theirs)
		require.InEpsilon(t, theirs[1000], ours[1000], 0.07)
	}
}

// First readings of new molds lose nothing of their margin, so the law gives no
// gain there; they still tell of the level.
func TestFirstCastsCount(t *testing.T) {
	s := shelfOf(0, nil, 20, 20, 20, 20)
	log, _ := history.Build(s, tables.NoDate)
	a, ok := wall.Run(log, s, wall.Defaults()).Posterior.Approach(0)
	require.True(t, ok)
	r := readingsOf(a, log.Molds[0], limit{wallMM: 4, dwellMin: 20})
	require.Len(t, r.unit.Ages, 20)
	require.Zero(t, r.unit.Ages[0])
	require.InEpsilon(t, r.unit.Weights[1]/a.Casts[1].Trust, r.unit.Weights[0]/a.Casts[0].Trust, 0.3)
	for i, v := range r.unit.Values { // minus what is left of 1.92 min/mm
		require.InDelta(t, -(20.0/4-4/1.3)+0.02*float64(i), v, 1)
	}
	_, err := wander.Fit([]wander.Unit{r.unit}, wander.Options{})
	require.NoError(t, err)
}

func TestTheReasonOfAPathIsInTheNotes(t *testing.T) {
	s := shelfOf(0, nil, 30, 25, 20, 15)
	set := quick()
	set.Path, set.PathWhy = PathWandering, "because it did better"
	ans := answered(s, set)
	require.True(t, ans.Wandering)
	require.Contains(t, ans.Notes, set.PathWhy)
}
