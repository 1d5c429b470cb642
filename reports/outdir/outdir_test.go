package outdir

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func write(t *testing.T, path, text string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
}

func entries(t *testing.T, dir string) []string {
	t.Helper()
	list, err := os.ReadDir(dir)
	require.NoError(t, err)
	var names []string
	for _, e := range list {
		names = append(names, e.Name())
	}
	return names
}

func read(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(data)
}

func land(t *testing.T, out, text string) {
	t.Helper()
	s, err := Begin(out, Report)
	require.NoError(t, err)
	write(t, filepath.Join(s.Dir(), Record), text)
	require.NoError(t, s.Land())
	s.Discard() // does nothing now
}

func TestANewReportReplacesTheFormerOneWhole(t *testing.T) {
	parent := t.TempDir()
	out := filepath.Join(parent, "a", "out")
	land(t, out, "first")
	s, err := Begin(out, Report)
	require.NoError(t, err)
	write(t, filepath.Join(s.Dir(), Record), "second")
	write(t, filepath.Join(s.Dir(), "tables", "x.csv"), "x")
	got, err := os.ReadFile(filepath.Join(out, Record))
	require.NoError(t, err)
	require.Equal(t, "first", string(got), "until it lands the former one stands")
	require.NoError(t, s.Land())
	got, err = os.ReadFile(filepath.Join(out, Record))
	require.NoError(t, err)
	require.Equal(t, "second", string(got))
	require.Equal(t, []string{"out"}, entries(t, filepath.Dir(out)), "no litter")
}

func TestADiscardedReportLeavesTheFormerOne(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	land(t, out, "first")
	s, err := Begin(out, Report)
	require.NoError(t, err)
	write(t, filepath.Join(s.Dir(), Record), "half")
	s.Discard()
	require.Equal(t, []string{"out"}, entries(t, filepath.Dir(out)))
	got, err := os.ReadFile(filepath.Join(out, Record))
	require.NoError(t, err)
	require.Equal(t, "first", string(got))
}

func TestOtherPeoplesFilesAreNotReplaced(t *testing.T) {
	out := t.TempDir()
	write(t, filepath.Join(out, "thesis.docx"), "years of work")
	_, err := Begin(out, Report)
	require.ErrorContains(t, err, "thesis.docx")

	mixed := filepath.Join(t.TempDir(), "out")
	land(t, mixed, "ours")
	write(t, filepath.Join(mixed, "my notes.txt"), "theirs")
	_, err = Begin(mixed, Report)
	require.ErrorContains(t, err, "my notes.txt")

	file := filepath.Join(t.TempDir(), "out")
	write(t, file, "a file")
	_, err = Begin(file, Report)
	require.ErrorContains(t, err, "is a file")
}

func TestTwoStepsBringTheFormerBackOnFailure(t *testing.T) {
	dir := t.TempDir()
	final := filepath.Join(dir, "out")
	write(t, filepath.Join(final, Record), "former")
	err := swapInTwoSteps(filepath.Join(dir, "missing"), final)
	require.Error(t, err)
	require.FileExists(t, filepath.Join(final, Record))
	require.Equal(t, []string{"out"}, entries(t, dir))
}

func TestTwoStepsReplaceToo(t *testing.T) {
	dir := t.TempDir()
	final, next := filepath.Join(dir, "out"), filepath.Join(dir, "next")
	write(t, filepath.Join(final, Record), "former")
	write(t, filepath.Join(next, Record), "new")
	require.NoError(t, swapInTwoSteps(next, final))
	require.Equal(t, "new", read(t, filepath.Join(final, Record)))
	require.Equal(t, []string{"out"}, entries(t, dir))
}

func TestAPlanAndAReportNeverReplaceEachOther(t *testing.T) {
	for kind, other := range map[Kind]Kind{Report: Plan, Plan: Report} {
		out := filepath.Join(t.TempDir(), "out")
		require.NoError(t, Check(out, kind), "a free place")
		require.NoDirExists(t, out, "looking changes nothing")
		write(t, filepath.Join(out, Record), "{}")
		write(t, filepath.Join(out, string(kind)+".xlsx"), "")
		require.NoError(t, Check(out, kind))
		require.ErrorContains(t, Check(out, other), string(kind)+".xlsx, which a new "+string(other)+" would replace")
		_, err := Begin(out, other)
		require.Error(t, err)
		require.Equal(t, []string{string(kind) + ".xlsx", Record}, entries(t, out))
	}
}
