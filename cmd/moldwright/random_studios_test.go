package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"moldwright/fixtures/studio"
	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// quickSettings are the usual ones with fewer draws, so that many studios are
// tried in little time.
func quickSettings(seed uint64) pipeline.Settings {
	set := pipeline.Defaults()
	set.Seed = seed
	set.Life.Draws = min(set.Life.Draws, 400)
	set.Hindcast.Draws = min(set.Hindcast.Draws, 100)
	set.Plan.Draws = min(set.Plan.Draws, 400)
	return set
}

// randomStudio draws the size and the habits of a studio, and what it logged.
func randomStudio(seed uint64) (studio.Options, studio.Log) {
	rng := rand.New(rand.NewPCG(seed, 10))
	start := tables.MakeDate(2023, time.January, 9) + tables.Date(rng.IntN(300))
	o := studio.Options{
		Start: start, End: start + tables.Date(rng.IntN(260)),
		Molds: 1 + rng.IntN(8), CastsPerWeek: 8 * rng.Float64(), Pours: rng.IntN(12), EarlyWorn: rng.IntN(2),
		ReadingMM: 0.3 * rng.Float64(), CastNoise: 0.08 * rng.Float64(), Tidy: rng.IntN(2) == 0,
	}
	log, _ := studio.Generate(seed, o)
	return o, log
}

func studioFolder(t *testing.T, log studio.Log, rename func(string) string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "studio")
	require.NoError(t, os.Mkdir(dir, 0o755))
	written, err := studio.Files(log)
	require.NoError(t, err)
	for _, f := range written {
		require.NoError(t, os.WriteFile(filepath.Join(dir, rename(f.Name)), f.Bytes, 0o644))
	}
	return dir
}

// TestRandomStudios tries three studios, or as many as MOLDWRIGHT_STUDIOS says.
func TestRandomStudios(t *testing.T) {
	studios := 3
	if n, err := strconv.Atoi(os.Getenv("MOLDWRIGHT_STUDIOS")); err == nil {
		studios = n
	}
	for seed := range uint64(studios) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			o, log := randomStudio(seed)
			t.Logf("%d casts, %d pours: %+v", len(log.Casts), len(log.Pours), o)
			if len(log.Casts)+len(log.Pours) == 0 {
				return
			}
			dir := studioFolder(t, log, func(name string) string { return name })
			res, outputs := answered(t, quickSettings(seed), dir)
			switch seed % 3 {
			case 0:
				_, again := answered(t, quickSettings(seed), dir)
				for name, data := range outputs {
					if name != "run.json" {
						require.True(t, bytes.Equal(data, again[name]), "%s: the same bytes twice", name)
					}
				}
			case 1:
				other, _ := answered(t, quickSettings(seed), studioFolder(t, log, func(name string) string { return "z" + reversed(name) }))
				alike(t, res, other)
			case 2:
				set := quickSettings(seed)
				set.Units = format.US
				other, inUS := answered(t, set, dir)
				alike(t, res, other)
				plain := 0
				for name, data := range outputs {
					if strings.HasPrefix(name, "tables/") {
						plain++
						require.True(t, bytes.Equal(data, inUS[name]), "%s: plain tables are metric in every report", name)
					}
				}
				require.Greater(t, plain, 20)
				require.False(t, bytes.Equal(outputs["report.html"], inUS["report.html"]))
			}
		})
	}
}

// reversed puts files into another order by their names.
func reversed(name string) string {
	b := []byte(strings.TrimSuffix(name, filepath.Ext(name)))
	slices.Reverse(b)
	return string(b) + filepath.Ext(name)
}

// alike checks that two results give the same answers, but for the last digits.
func alike(t *testing.T, a, b pipeline.Result) {
	t.Helper()
	require.Equal(t, a.Wall.Chosen, b.Wall.Chosen)
	require.Len(t, b.Wall.States, len(a.Wall.States))
	for i, x := range a.Wall.States {
		y := b.Wall.States[i]
		require.Equal(t, x.Mold, y.Mold)
		require.Equal(t, x.AgeCasts, y.AgeCasts)
		near(t, x.Mold, 1e-4, x.NextWallMM, y.NextWallMM, x.NextWallLower90, y.NextWallLower90, x.RateMM2PerMin, y.RateMM2PerMin)
	}
	require.Len(t, b.Life.Remaining, len(a.Life.Remaining))
	for i, x := range a.Life.Remaining {
		y := b.Life.Remaining[i]
		require.Equal(t, x.Mold, y.Mold)
		near(t, x.Mold, 0.02, x.RemainingP10, y.RemainingP10, x.RemainingP50, y.RemainingP50, x.RemainingP90, y.RemainingP90)
	}
	require.Len(t, b.Plaster.Pours, len(a.Plaster.Pours))
	for i, x := range a.Plaster.Pours {
		y := b.Plaster.Pours[i]
		require.Equal(t, x.Pour, y.Pour)
		near(t, x.Pour, 1e-6, x.WasteKg, y.WasteKg, x.NeededKg, y.NeededKg, x.Cost, y.Cost)
	}
	require.Equal(t, len(a.NotGiven), len(b.NotGiven))
}

// near compares pairs, to a share of the first or to as much outright.
func near(t *testing.T, what string, tol float64, pairs ...float64) {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		x, y := pairs[i], pairs[i+1]
		require.Equal(t, tables.Has(x), tables.Has(y), what)
		if tables.Has(x) {
			require.InDelta(t, x, y, tol*max(1, math.Abs(x)), "%s, number %d", what, i/2+1)
		}
	}
}

// The same log in millimetres, minutes and kilograms and in inches, hours and
// pounds, and with its rows in another order, gives the same answers.
func TestUnitsAndTheOrderOfRowsDoNotMatter(t *testing.T) {
	log := smallLog(t, "A", "B", "C")
	res, _ := answered(t, quickSettings(1), log)

	for name, change := range map[string]func(file string, rows [][]string){
		"other units": func(file string, rows [][]string) {
			switch file {
			case "casts.csv":
				convert(rows, "dwell (min)", "dwell (h)", 1./60)
				convert(rows, "wall (mm)", "wall (in)", 1/25.4)
			case "pours.csv":
				for _, what := range []string{"plaster", "water", "leftover", "spilled", "trimmed"} {
					convert(rows, what+" (kg)", what+" (lb)", 1/0.45359237)
				}
			}
		},
		"rows from the last": func(_ string, rows [][]string) { slices.Reverse(rows[1:]) },
	} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "log")
			require.NoError(t, os.Mkdir(dir, 0o755))
			for file, data := range files(t, log) {
				rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
				require.NoError(t, err)
				change(file, rows)
				var b bytes.Buffer
				require.NoError(t, csv.NewWriter(&b).WriteAll(rows))
				require.NoError(t, os.WriteFile(filepath.Join(dir, file), b.Bytes(), 0o644))
			}
			other, _ := answered(t, quickSettings(1), dir)
			slices.SortFunc(other.Plaster.Pours, func(a, b tables.PourWaste) int { return strings.Compare(a.Pour, b.Pour) })
			alike(t, res, other)
		})
	}
}

func convert(rows [][]string, from, to string, factor float64) {
	at := slices.Index(rows[0], from)
	rows[0][at] = to
	for _, r := range rows[1:] {
		if x, err := strconv.ParseFloat(r[at], 64); err == nil {
			r[at] = strconv.FormatFloat(x*factor, 'f', 12, 64)
		}
	}
}
