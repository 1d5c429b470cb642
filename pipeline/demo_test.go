package pipeline_test

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/fixtures"
	"moldwright/fixtures/studio"
	"moldwright/pipeline"
	"moldwright/pipeline/ingest"
	"moldwright/pipeline/tables"
)

// demoSeed is the seed that fixtures/demo was generated with.
const demoSeed = 7

func demo(t *testing.T) (pipeline.Result, studio.Truth) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "studio")
	require.NoError(t, os.CopyFS(dir, fixtures.Demo()))
	sources, err := ingest.Find([]string{dir})
	require.NoError(t, err)
	res, err := pipeline.Run(context.Background(), sources, pipeline.Defaults(), nil)
	require.NoError(t, err)
	t.Cleanup(res.Studio.Release)
	_, truth := studio.Generate(demoSeed, studio.Defaults())
	return res, truth
}

// The demo's truth is known to its generator, which follows the filtration law
// and not a model of ours. These are invented data: they show that the pieces
// fit together, the outside checks are in the packages.
func TestTheDemoIsAnsweredNearItsTruth(t *testing.T) {
	res, truth := demo(t)
	read, used, aside, noData := res.Reading.Rows()
	require.Equal(t, read, used+aside+noData)
	require.Empty(t, res.NotGiven)

	molds := map[string]studio.MoldTruth{}
	for _, m := range truth.Molds {
		molds[m.Mold] = m
	}
	t.Run("dwells", func(t *testing.T) {
		held, all := 0, 0
		seen := map[string]bool{}
		for _, g := range res.Wall.Guide {
			if seen[g.Mold] {
				continue
			}
			seen[g.Mold] = true
			m := molds[g.Mold]
			need := m.Usual(m.Age).Dwell(g.TargetWallMM)
			all++
			if g.DwellLower90 <= need && need <= g.DwellUpper90 {
				held++
			}
		}
		require.Equal(t, 14, all)
		require.GreaterOrEqual(t, held, 12, "nine in ten, give or take")
	})
	t.Run("early wear", func(t *testing.T) {
		flagged := map[string]bool{}
		falsely := 0
		for _, w := range res.Watch.Molds {
			flagged[w.Mold] = w.Flagged
			if w.Flagged && !molds[w.Mold].EarlyWorn {
				falsely++
			}
		}
		for _, m := range truth.Molds {
			if m.EarlyWorn {
				require.True(t, flagged[m.Mold], m.Mold)
			}
		}
		// At a false alarm in 500 casts, 853 casts make 1.7 on average, some of
		// which have come back by the last cast.
		require.LessOrEqual(t, falsely, 2)
	})
	t.Run("waste", func(t *testing.T) {
		held, all := 0, 0
		for i, p := range res.Plaster.Pours {
			if !tables.Has(p.WasteLower80) {
				continue
			}
			all++
			if w := truth.Pours[i].WasteKg(); p.WasteLower80 <= w && w <= p.WasteUpper80 {
				held++
			}
		}
		require.Greater(t, all, 25)
		share := float64(held) / float64(all)
		require.GreaterOrEqual(t, share, 0.6, "80 %% intervals held %d of %d", held, all)
		t.Logf("80 %% intervals of waste held %d of %d", held, all)
	})
}

func TestProblemsComeInOrderOfTheSheets(t *testing.T) {
	res, _ := demo(t)
	require.NotEmpty(t, res.Problems)
	for i, p := range res.Problems {
		require.NotEmpty(t, p.Code)
		require.NotEmpty(t, p.Message)
		require.NotEmpty(t, p.Mend)
		if i > 0 {
			require.LessOrEqual(t, res.Problems[i-1].File, p.File)
		}
	}
}

func TestNothingUsableIsSaid(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.csv")
	require.NoError(t, os.WriteFile(path, []byte("Eggs,Milk\n1,2\n"), 0o644))
	sources, err := ingest.Find([]string{path})
	require.NoError(t, err)
	_, err = pipeline.Run(context.Background(), sources, pipeline.Defaults(), nil)
	require.ErrorIs(t, err, ingest.ErrNothingUsable)
}
