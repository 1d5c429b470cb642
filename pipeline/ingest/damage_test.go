package ingest

import (
	"archive/zip"
	"bytes"
	"context"
	"io"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/ingest/grid"
)

// Workbooks with random damage inside their parts are read, or are unreadable;
// they never panic, and the account closes.
func TestDamagedWorkbooks(t *testing.T) {
	path := workbook(t, [][]any{castHeader, {day1(), "A", 20, 5, "good"}, {day1(), "B", 20, nil, "good"}, {day1(), "C", 0.02, 5, "reject"}}, func(f *excelize.File) {
		require.NoError(t, f.SetCellFormula("Casts", "D3", "D2*2"))
		require.NoError(t, f.MergeCell("Casts", "A2", "A3"))
	})
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	r, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	require.NoError(t, err)
	parts := map[string][]byte{}
	var names []string
	for _, f := range r.File {
		in, err := f.Open()
		require.NoError(t, err)
		parts[f.Name], err = io.ReadAll(in)
		require.NoError(t, err)
		names = append(names, f.Name)
	}
	slices.Sort(names)
	rng := rand.New(rand.NewPCG(1, 2))
	rounds := 400
	if testing.Short() {
		rounds = 100
	}
	for range rounds {
		var out bytes.Buffer
		w := zip.NewWriter(&out)
		hurt := names[rng.IntN(len(names))]
		for _, n := range names {
			part := parts[n]
			if n == hurt {
				part = damage(rng, part)
			}
			o, err := w.Create(n)
			require.NoError(t, err)
			_, err = o.Write(part)
			require.NoError(t, err)
		}
		require.NoError(t, w.Close())
		b, err := grid.ReadWorkbook(context.Background(), out.Bytes())
		require.NoError(t, err)
		if b.Unreadable != "" {
			continue
		}
		rd := &reader{shelves: newShelves(), byHash: map[string]string{}}
		rd.problems.files = []File{{Name: "a.xlsx"}}
		require.NoError(t, rd.book(context.Background(), 0, b))
		rd.crosscheck()
		for _, a := range rd.sheets {
			require.NoError(t, a.fill(&rd.problems.files[0].Sheets[a.sheet]))
		}
	}
}

// damage changes, cuts or doubles something.
func damage(rng *rand.Rand, part []byte) []byte {
	if len(part) < 4 {
		return part
	}
	out := slices.Clone(part)
	i, j := rng.IntN(len(out)), rng.IntN(len(out))
	switch rng.IntN(5) {
	case 0:
		out[i] = byte(rng.IntN(256))
	case 1:
		return out[:i]
	case 2:
		return append(out[:min(i, j)], out[max(i, j):]...)
	case 3: // a number becomes another
		for k := i; k < len(out); k++ {
			if out[k] >= '0' && out[k] <= '9' {
				return slices.Insert(out, k, []byte("99999")...)
			}
		}
	case 4:
		return slices.Insert(out, i, part[min(i, j):max(i, j)]...)
	}
	return out
}
