package grid

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

func TestWithoutRoomALargeWorkbookIsNotUnpacked(t *testing.T) {
	tmp := t.TempDir()
	t.Setenv("TMPDIR", tmp)
	t.Setenv("TMP", tmp)
	folder, done, err := roomFor(1)
	require.NoError(t, err)
	require.Equal(t, tmp, filepath.Dir(folder))
	done()
	_, _, err = roomFor(1 << 60)
	require.ErrorIs(t, err, ErrNoRoom)
	require.ErrorContains(t, err, "TMPDIR")
	left, err := os.ReadDir(tmp)
	require.NoError(t, err)
	require.Empty(t, left)
}

// A small workbook needs no temporary files, so that none of their troubles
// concern it.
func TestASmallWorkbookNeedsNoTemporaryFolder(t *testing.T) {
	nowhere := filepath.Join(t.TempDir(), "nowhere")
	t.Setenv("TMPDIR", nowhere)
	t.Setenv("TMP", nowhere)
	f := excelize.NewFile()
	defer f.Close()
	require.NoError(t, f.SetCellValue("Sheet1", "A1", "text"))
	b, err := f.WriteToBuffer()
	require.NoError(t, err)
	book, err := ReadWorkbook(context.Background(), b.Bytes())
	require.NoError(t, err)
	require.Empty(t, book.Unreadable)
	require.Equal(t, "text", book.Sheets[0].Cell(0, 0))
	_, _, err = roomFor(1)
	require.ErrorIs(t, err, ErrNoRoom)
}
