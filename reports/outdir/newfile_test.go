package outdir

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestANewFileIsWholeAndReplacesNone(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "log.xlsx")
	write(t, filepath.Join(dead(path, unfinished), "log.xlsx"), "half of a killed run")
	require.NoError(t, NewFile(path, []byte("new")))
	require.Equal(t, "new", read(t, path))
	require.Equal(t, []string{"log.xlsx"}, entries(t, dir))
	require.ErrorContains(t, NewFile(path, []byte("other")), "is there already and is kept")
	require.Equal(t, "new", read(t, path))

	require.ErrorContains(t, NewFile(filepath.Join(dir, "nowhere", "a.csv"), nil), "choose a folder that is there")
	if err := os.Symlink(filepath.Join(dir, "gone"), filepath.Join(dir, "link")); err == nil {
		require.ErrorContains(t, NewFile(filepath.Join(dir, "link"), nil), "is there already")
	}
}
