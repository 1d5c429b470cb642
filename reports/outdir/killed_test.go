package outdir

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// dead is a name that a run of a process that has ended gave to a folder beside
// out; no system gives numbers as large as this one.
func dead(out, role string) string {
	return filepath.Join(filepath.Dir(out), beside(out, role)+"999999999-0")
}

// Every state in which a killed run can leave the place, and what the next run
// makes of it before it has written a report of its own.
func TestWhereverARunWasKilledAReportIsThereAndTheNextClearsTheRest(t *testing.T) {
	states := map[string]struct {
		leave func(t *testing.T, out string)
		want  string
	}{
		"while writing": {func(t *testing.T, out string) {
			write(t, filepath.Join(out, Record), "former")
			write(t, filepath.Join(dead(out, unfinished), "charts", "a.svg"), "half")
		}, "former"},
		"after the exchange": {func(t *testing.T, out string) {
			write(t, filepath.Join(out, Record), "new")
			write(t, filepath.Join(dead(out, unfinished), Record), "former")
		}, "new"},
		"while removing the former": {func(t *testing.T, out string) {
			write(t, filepath.Join(out, Record), "new")
			write(t, filepath.Join(dead(out, unfinished), "tables", "a.csv"), "former")
		}, "new"},
		"before the first of two steps": {func(t *testing.T, out string) {
			write(t, filepath.Join(out, Record), "former")
			write(t, filepath.Join(dead(out, unfinished), Record), "new")
			require.NoError(t, os.Mkdir(dead(out, formerly), 0o755))
		}, "former"},
		"between two steps": {func(t *testing.T, out string) {
			write(t, filepath.Join(dead(out, formerly), aside, Record), "former")
			write(t, filepath.Join(dead(out, unfinished), Record), "new")
		}, "former"},
		"after the second of two steps": {func(t *testing.T, out string) {
			write(t, filepath.Join(out, Record), "new")
			write(t, filepath.Join(dead(out, formerly), aside, Record), "former")
		}, "new"},
	}
	for name, state := range states {
		t.Run(name, func(t *testing.T) {
			out := filepath.Join(t.TempDir(), "out")
			state.leave(t, out)
			s, err := Begin(out, Report)
			require.NoError(t, err)
			require.Equal(t, state.want, read(t, filepath.Join(out, Record)))
			require.Len(t, entries(t, filepath.Dir(out)), 2, "the report and what is being written")
			s.Discard()
			require.Equal(t, []string{"out"}, entries(t, filepath.Dir(out)))
		})
	}
}

func TestARunThatGoesOnIsNotDisturbed(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	first, err := Begin(out, Report)
	require.NoError(t, err)
	write(t, filepath.Join(first.Dir(), Record), "first")
	land(t, out, "second")
	require.FileExists(t, filepath.Join(first.Dir(), Record))
	require.NoError(t, first.Land())
	require.Equal(t, "first", read(t, filepath.Join(out, Record)), "who lands last stands")
	require.Equal(t, []string{"out"}, entries(t, filepath.Dir(out)))
}

func TestTheLongestNameCanBeReplaced(t *testing.T) {
	parent := t.TempDir()
	long := filepath.Join(parent, strings.Repeat("ä", 127)) // 254 bytes
	land(t, long, "first")
	other := filepath.Join(parent, strings.Repeat("ä", 126)+"bb")
	write(t, filepath.Join(dead(other, unfinished), Record), "half")
	land(t, long, "second")
	require.Equal(t, "second", read(t, filepath.Join(long, Record)))
	require.DirExists(t, dead(other, unfinished), "names that begin alike are told apart")
	land(t, other, "x")
	require.Len(t, entries(t, parent), 2)
}
