package wander

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// published are the degradation sets of Meeker & Escobar (1998), Statistical
// Methods for Reliability Data, and of Lu & Meeker (1993), Technometrics 35(2).
// Readings at age 0, where the value is so by definition, are left out. Ages are
// in units that make a path about 120 whole ages long.
func published(t *testing.T) []trial {
	sets := []trial{
		{ // laser current, % increase; fails at 10
			name:   "GaAs laser",
			units:  positive(grouped(t, degradation(t, "deg_gaaslaser.csv"), "unit", "hours", "increase"), 1.0/25),
			levels: []float64{4, 5, 6, 7, 8, 9, 10}, powers: []float64{1},
		},
		{ // fatigue crack, inches; fails at 1.6. Growth by Paris' law is a straight path of a negative power
			name:   "alloy A",
			units:  positive(grouped(t, degradation(t, "deg_alloya.csv"), "specimen", "megacycles", "inches"), 1000),
			levels: []float64{1.1, 1.2, 1.3, 1.4, 1.5, 1.6}, powers: []float64{-4, -3, -2.5, -2, -1.5, -1, -0.5, 0},
		},
	}
	for _, celsius := range []string{"150", "195", "237"} {
		rows := slices.DeleteFunc(degradation(t, "deg_deviceb.csv"), func(r map[string]string) bool { return r["celsius"] != celsius })
		units := grouped(t, rows, "device", "hours", "powerdrop")
		for i := range units {
			for j := range units[i].Values {
				units[i].Values[j] *= -1
			}
		}
		sets = append(sets, trial{
			name: "device B, " + celsius + " °C", units: positive(units, 0.04),
			levels: map[string][]float64{"150": {0.1, 0.15, 0.2, 0.25, 0.3, 0.35}, "195": {0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1}, "237": {0.6, 0.8, 1, 1.1, 1.2, 1.3}}[celsius],
			powers: []float64{0.5, 1, 1.5, 2, 2.5, 3},
		})
	}
	return append(sets, logTime(t, "metal wear", "deg_metalwear.csv", "unit", "cycles", "microns", "grams", 20, []float64{4, 5, 6, 8, 9, 10, 13, 15, 17, 25, 30, 35}),
		logTime(t, "resistors", "deg_resistor.csv", "resistor", "hours", "percent", "celsius", 40, []float64{0.4, 0.5, 0.6, 1.5, 2, 2.5, 3, 4, 5, 6, 7}))
}

// logTime is a set whose paths are straight on log-log paper, with a mean line
// for each group.
func logTime(t *testing.T, name, file, id, age, value, group string, unit float64, levels []float64) trial {
	rows := degradation(t, file)
	units := grouped(t, rows, id, age, value)
	var groups []string
	of := map[string]string{}
	for _, r := range rows {
		of[r[id]] = r[group]
		if !slices.Contains(groups, r[group]) {
			groups = append(groups, r[group])
		}
	}
	var ids []string
	for _, r := range rows {
		if !slices.Contains(ids, r[id]) {
			ids = append(ids, r[id])
		}
	}
	for i := range units {
		first := units[i].Ages[0]
		for j, a := range units[i].Ages {
			units[i].Ages[j] = unit * math.Log(a/first)
		}
		units[i].Level = make([]float64, len(groups))
		units[i].Level[slices.Index(groups, of[ids[i]])] = 1
		units[i].Drift = units[i].Level
	}
	return trial{name: name, units: units, levels: levels, powers: []float64{0}}
}

// positive leaves out readings at age 0 and not above 0, and scales ages.
func positive(units []Unit, scale float64) []Unit {
	for i := range units {
		var u Unit
		for j, a := range units[i].Ages {
			if a > 0 && units[i].Values[j] > 0 {
				u.Ages = append(u.Ages, a*scale)
				u.Values = append(u.Values, units[i].Values[j])
			}
		}
		units[i] = u
	}
	return units
}

var known = []float64{0.3, 0.4, 0.5, 0.6, 0.7}

const heading = "%-18s %-9s %9s %7s | %5s %5s %5s | %5s %5s %5s | %6s %7s"

func line(t *testing.T, set, course string, all []asked) {
	t.Logf("%-18s %-9s %9d %7d | %5.1f %5.1f %5.1f | %5.1f %5.1f %5.1f | %6.3f %7.5f", set, course, len(all),
		count(all, func(a asked) bool { return a.crossed }),
		100*held(all, 0.5, false), 100*held(all, 0.8, false), 100*held(all, 0.9, false),
		100*held(all, 0.5, true), 100*held(all, 0.8, true), 100*held(all, 0.9, true),
		mean(all, func(a asked) float64 { return a.width }), mean(all, func(a asked) float64 { return a.pinball }))
}

// answers are all forecasts of a set by straight, wandering and chosen paths.
type answers [3][]asked

var courses = [3]string{"straight", "wandering", "chosen"}

// Intervals of the age at which a level is crossed, over all units, starting
// points and levels, with the width of the 80 % interval and the pinball loss in
// path lengths. Coverage is given for all forecasts (paths that ended before the
// crossing counted as far as they went), then for observed crossings alone.
// Forecasts of one unit share its luck, so a set of a dozen units tells its
// coverage to about ten points.
func TestForecastsOfPublishedPathsComeTrue(t *testing.T) {
	sets := published(t)
	found := make([]answers, len(sets))
	t.Run("sets", func(t *testing.T) {
		for i, set := range sets {
			t.Run(set.name, func(t *testing.T) {
				t.Parallel()
				found[i][0], found[i][1], found[i][2] = set.ask(t, known)
			})
		}
	})
	if t.Failed() {
		return
	}
	t.Logf(heading, "set", "paths", "forecasts", "crossed", "50 %", "80 %", "90 %", "50 %", "80 %", "90 %", "width", "pinball")
	var all answers
	for i, set := range sets {
		for k, name := range courses {
			line(t, set.name, name, found[i][k])
			all[k] = append(all[k], found[i][k]...)
		}
		loss := func(a asked) float64 { return a.pinball }
		require.LessOrEqual(t, mean(found[i][1], loss), 1.01*mean(found[i][0], loss), "%s: wandering paths lose nothing", set.name)
		require.InDelta(t, 0.8, held(found[i][1], 0.8, false), 0.15, set.name)
	}
	for k, name := range courses {
		line(t, "all", name, all[k])
	}
	for _, level := range []float64{0.5, 0.8, 0.9} {
		for _, observed := range []bool{false, true} {
			require.InDelta(t, level, held(all[1], level, observed), 0.05, "wandering")
			require.InDelta(t, level, held(all[2], level, observed), 0.05, "chosen")
			require.Less(t, held(all[0], level, observed), level-0.04, "straight paths are too sure")
			require.InDelta(t, level, held(found[0][1], level, observed), 0.08, "laser")
			require.Less(t, held(found[0][0], level, observed), level-0.1, "laser, straight")
		}
	}
}
