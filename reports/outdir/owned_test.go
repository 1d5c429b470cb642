package outdir

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestAFileOfSomebodyElseAnywhereInAReportIsNotReplaced(t *testing.T) {
	for _, name := range []string{"charts/sketch.psd", "tables/mine.xlsx", "tables/more/a.csv", "spreadsheets/notes.txt", ".git/HEAD", ".notes", "report.xlsx/a", "run.json.bak"} {
		out := filepath.Join(t.TempDir(), "out")
		land(t, out, "ours")
		write(t, filepath.Join(out, "charts", "lives.svg"), "ours")
		write(t, filepath.Join(out, "tables", "watch.csv"), "ours")
		write(t, filepath.Join(out, name), "theirs")
		_, err := Begin(out, Report)
		require.ErrorContains(t, err, "which a new report would replace", name)
		require.Equal(t, "theirs", read(t, filepath.Join(out, name)))
	}
}

func TestWhatSystemsAndSpreadsheetProgramsLeaveIsNobodys(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	land(t, out, "ours")
	for _, name := range []string{".DS_Store", "~$report.xlsx", ".~lock.report.xlsx#", "Thumbs.db", "tables/.~lock.watch.csv#", "charts/._lives.svg"} {
		write(t, filepath.Join(out, name), "")
	}
	land(t, out, "again")
	require.Equal(t, []string{Record}, entries(t, out))

	fresh := filepath.Join(t.TempDir(), "fresh")
	write(t, filepath.Join(fresh, ".DS_Store"), "")
	land(t, fresh, "a folder that a file manager has looked into is empty")
}

func TestLinks(t *testing.T) {
	dir := t.TempDir()
	real, link := filepath.Join(dir, "real"), filepath.Join(dir, "link")
	if err := os.Symlink(real, link); err != nil {
		t.Skip("no links here:", err)
	}
	_, err := Begin(link, Report)
	require.ErrorContains(t, err, "is a link to a place that is not there")
	land(t, real, "first")
	land(t, link, "second")
	require.Equal(t, "second", read(t, filepath.Join(real, Record)), "the link stays, what it names is replaced")
	info, err := os.Lstat(link)
	require.NoError(t, err)
	require.NotZero(t, info.Mode()&os.ModeSymlink)

	elsewhere := t.TempDir()
	write(t, filepath.Join(elsewhere, "a.csv"), "theirs")
	require.NoError(t, os.Symlink(elsewhere, filepath.Join(real, "tables")))
	_, err = Begin(real, Report)
	require.ErrorContains(t, err, "tables")
	require.FileExists(t, filepath.Join(elsewhere, "a.csv"))
}
