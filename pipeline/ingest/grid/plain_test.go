package grid

import (
	"context"
	"fmt"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// rowsOf is a sheet as plain values.
func rowsOf(s *Sheet) map[int][]string {
	rows := map[int][]string{}
	for i := range s.Len() {
		r := s.Row(i)
		for at := range r.Width() {
			rows[r.Number()] = append(rows[r.Number()], r.Cell(at))
		}
	}
	return rows
}

// someText is a text without quotation marks, of odd lines among plain ones.
func someText(rng *rand.Rand, lines int) string {
	var b strings.Builder
	for i := range lines {
		end := "\n"
		if rng.IntN(3) == 0 {
			end = "\r\n"
		}
		switch rng.IntN(12) {
		case 0:
			b.WriteString(strings.Repeat(";", rng.IntN(4)))
		case 1:
			b.WriteString("  ")
		case 2:
			fmt.Fprintf(&b, "%d; spaced ;\u00a0nbsp\u00a0;;", i)
		case 3:
			b.WriteString(strings.Repeat("w;", 200))
		default:
			fmt.Fprintf(&b, "%d;M-%d;%.1f;%d:%02d", i, rng.IntN(30), 4+float64(rng.IntN(30))/10, rng.IntN(24), rng.IntN(60))
		}
		b.WriteString(end)
	}
	return strings.TrimSuffix(b.String(), "\n")
}

// TestPlainTextIsReadAsTheLibraryReadsIt compares the quick way for texts
// without quotation marks with encoding/csv, for texts of several pieces too.
func TestPlainTextIsReadAsTheLibraryReadsIt(t *testing.T) {
	for seed := range uint64(12) {
		rng := rand.New(rand.NewPCG(seed, 1))
		text := someText(rng, []int{0, 1, 5, 400, 3000, 130_000}[seed%6])
		quick := &Sheet{Text: true}
		require.NoError(t, quick.readPlain(context.Background(), text, ';'))
		slow := &Sheet{Text: true}
		require.NoError(t, slow.readQuoted(context.Background(), []byte(text), ';'))
		require.Equal(t, rowsOf(slow), rowsOf(quick))
		require.Equal(t, slow.Len(), quick.Len())
	}
}

func TestTheNumberOfCoresChangesNothing(t *testing.T) {
	text := someText(rand.New(rand.NewPCG(7, 7)), 150_000)
	require.Greater(t, len(text), 2*chunkBytes)
	read := func(cores int) map[int][]string {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		s := &Sheet{Text: true}
		require.NoError(t, s.readPlain(context.Background(), text, ';'))
		return rowsOf(s)
	}
	require.Equal(t, read(1), read(4))
}

func TestFarCellsTakeLittleRoom(t *testing.T) {
	s := &Sheet{Text: true}
	far := make([]string, MaxColumns)
	far[MaxColumns-1] = "far"
	s.add(1, far)
	for n := range 500_000 {
		s.add(n+2, []string{"near"})
	}
	s.add(500_002, far)
	require.Equal(t, 500_002, s.Len())
	require.Equal(t, "far", s.Cell(s.Len()-1, MaxColumns-1))
	require.Less(t, s.weight, 1_200_000, "slots for 500,000 cells in one column and two far away")
}

func TestColumnsThatNeverRepeatAreNotLookedUp(t *testing.T) {
	s := &Sheet{}
	for n := range 10_000 {
		s.add(n+1, []string{fmt.Sprint("cast ", n), fmt.Sprint("M-", n%50)})
	}
	require.False(t, s.Repeats(0))
	require.True(t, s.Repeats(1))
	require.Equal(t, 51, s.Codes(1))
	require.Equal(t, s.Code(3, 1), s.Code(53, 1))
	for i := range s.Len() {
		require.Equal(t, fmt.Sprint("cast ", i), s.Cell(i, 0))
	}
	s.Set(5, 3, "new")
	require.Equal(t, "new", s.Cell(5, 3))
	require.Equal(t, 4, s.Row(5).Width())
}
