package ingest

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func names(sources []Source) []string {
	var out []string
	for _, s := range sources {
		out = append(out, s.Name)
	}
	return out
}

func TestFindWalksFoldersAndPassesOverWhatIsNoLog(t *testing.T) {
	dir := folder(t, map[string]string{
		"2025/casts.csv": "", "2024/casts.csv": "", "b.XLSX": "", "a.tsv": "", "old.xls": "", "notes.txt": "", "photo.jpg": "",
		"~$b.xlsx": "", ".hidden.csv": "", ".git/config.csv": "",
	})
	sources, err := Find([]string{dir})
	require.NoError(t, err)
	require.Equal(t, []string{"logs/2024/casts.csv", "logs/2025/casts.csv", "logs/a.tsv", "logs/b.XLSX", "logs/old.xls"}, names(sources))

	byFile, err := Find([]string{filepath.Join(dir, "2025", "casts.csv")})
	require.NoError(t, err)
	require.Equal(t, []string{"casts.csv"}, names(byFile))
}

func TestFindNamesFilesApartAndListsEachOnce(t *testing.T) {
	dir := folder(t, map[string]string{"2025/casts.csv": "", "2024/casts.csv": ""})
	a, b := filepath.Join(dir, "2025", "casts.csv"), filepath.Join(dir, "2024", "casts.csv")
	sources, err := Find([]string{a, b})
	require.NoError(t, err)
	require.Equal(t, []string{"2024/casts.csv", "2025/casts.csv"}, names(sources))

	again, err := Find([]string{b, a, b})
	require.NoError(t, err)
	require.Equal(t, names(sources), names(again), "the order of arguments does not matter")

	both, err := Find([]string{a, dir})
	require.NoError(t, err)
	require.Len(t, both, 2, "a file reached twice is listed once")
}

func TestFindSurvivesLinksThatLoop(t *testing.T) {
	dir := folder(t, map[string]string{"a/casts.csv": ""})
	require.NoError(t, os.Symlink(dir, filepath.Join(dir, "a", "loop")))
	require.NoError(t, os.Symlink(filepath.Join(dir, "nowhere"), filepath.Join(dir, "gone.csv")))
	sources, err := Find([]string{dir})
	require.NoError(t, err)
	require.Equal(t, []string{"logs/a/casts.csv", "logs/gone.csv"}, names(sources))
	res, err := Read(context.Background(), sources, Options{})
	require.NoError(t, err)
	require.Contains(t, res.Reading.Files[1].Unreadable, "cannot be opened")
}

func TestFindSaysWhatIsNotThere(t *testing.T) {
	_, err := Find([]string{filepath.Join(t.TempDir(), "castz.csv")})
	require.ErrorContains(t, err, "there is no file or folder")
}

func TestResultsOfAnEarlierRunAreNotALog(t *testing.T) {
	dir := folder(t, map[string]string{
		"casts.csv":                 "date,mold,dwell,wall\n2025-03-01,A,20,5\n",
		"OUT/run.json":              "{}",
		"OUT/tables/casts_used.csv": "mold,date,dwell_min,wall_mm\nA,2025-03-01,20,5\n",
	})
	res := readAll(t, Options{}, dir)
	require.Equal(t, 1, res.Studio.Casts.Len())
	require.Equal(t, "logs/OUT", find(t, res, CodeFormerRun).File)
}

func TestOtherKindsOfSpreadsheetAreToldApart(t *testing.T) {
	dir := folder(t, map[string]string{"old.xls": "x", "sheet.ods": "x", "n.numbers": "x"})
	res := readAll(t, Options{}, dir)
	require.Len(t, res.Reading.Files, 3)
	for _, f := range res.Reading.Files {
		require.NotEmpty(t, f.Unreadable)
	}
	require.Equal(t, []string{CodeUnreadableFile, CodeUnreadableFile, CodeUnreadableFile}, codes(res.Problems))
	require.Contains(t, res.Problems[0].Mend, "save it as .xlsx")
	require.ErrorIs(t, res.Reading.NothingUsable(), ErrNothingUsable)

	txt := filepath.Join(folder(t, map[string]string{"a.txt": "x"}), "a.txt")
	res = readAll(t, Options{}, txt)
	require.Equal(t, "this is not a spreadsheet", res.Reading.Files[0].Unreadable)
}
