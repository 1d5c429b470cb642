package grid

import (
	"bytes"
	"context"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// quotedText is a text in which quotation marks stand for cells with line breaks,
// for inches, and unclosed.
func quotedText(rng *rand.Rand, lines int) string {
	var b strings.Builder
	cells := []string{"M-1", "4.5", "\"a, b\"", "\"two\nlines\"", "3/16\"", "\"said \"\"so\"\"\"", "", "ü", "\"three\r\n\r\nlines\""}
	for range lines {
		if rng.IntN(40) == 0 {
			cells[6] = "\"open"
		} else {
			cells[6] = ""
		}
		for k := range 4 {
			if k > 0 {
				b.WriteByte(',')
			}
			n := len(cells)
			if rng.IntN(3) > 0 {
				n = 2
			}
			b.WriteString(cells[rng.IntN(n)])
		}
		b.WriteString([]string{"\n", "\r\n", "\n\n"}[rng.IntN(3)])
	}
	return b.String()
}

func sameBook(t *testing.T, data []byte, name string, piece int64) {
	t.Helper()
	score := func(s *Sheet) int { return s.Len() }
	want, err := ReadCSV(context.Background(), name, bytes.Clone(data), score)
	require.NoError(t, err)
	got, err := streamCSV(context.Background(), name, bytes.NewReader(data), int64(len(data)), score, piece)
	require.NoError(t, err)
	require.Equal(t, want.Unreadable, got.Unreadable)
	require.Equal(t, want.Encoding, got.Encoding)
	require.Equal(t, len(want.Sheets), len(got.Sheets))
	for i := range want.Sheets {
		require.Equal(t, rowsOf(want.Sheets[i]), rowsOf(got.Sheets[i]), "pieces of %d bytes of %q", piece, data[:min(len(data), 2000)])
		require.Equal(t, want.Sheets[i].BrokenQuotes, got.Sheets[i].BrokenQuotes)
		require.Equal(t, want.Sheets[i].Semicolons, got.Sheets[i].Semicolons)
		require.Equal(t, want.Sheets[i].WiderRows, got.Sheets[i].WiderRows)
	}
}

func TestATextReadInPiecesIsReadAsAWhole(t *testing.T) {
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 2))
		text := quotedText(rng, rng.IntN(40))
		switch seed % 6 {
		case 0:
			text = someText(rng, 200)
		case 1:
			text = strings.ReplaceAll(strings.ReplaceAll(text, "\r", ""), "\n", "\r")
		case 2:
			text = "\ufeff" + text
		}
		for _, piece := range []int64{1, 7, 40, 300, 1 << 20} {
			sameBook(t, []byte(text), "a.csv", piece)
		}
	}
}

func TestTheCorpusReadInPiecesIsReadAsAWhole(t *testing.T) {
	files := 0
	defer func() { require.Greater(t, files, 10) }()
	for _, pattern := range []string{"../../../testdata/ingest/corpus/*.csv", "../../../testdata/ingest/corpus/*/*.csv", "../../../testdata/ingest/bad/*.csv", "../../../fixtures/demo/*.csv"} {
		paths, err := filepath.Glob(pattern)
		require.NoError(t, err)
		files += len(paths)
		for _, path := range paths {
			data, err := os.ReadFile(path)
			require.NoError(t, err)
			sameBook(t, data, path, 1000)
		}
	}
}
