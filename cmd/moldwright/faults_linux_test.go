package main

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// smallDisk is a file system of its own with room for two small reports.
func smallDisk(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=12m"); err != nil {
		t.Skip("no file system can be mounted here (that takes the rights of root):", err)
	}
	t.Cleanup(func() { require.NoError(t, syscall.Unmount(dir, syscall.MNT_DETACH)) })
	return dir
}

func TestOnAnotherFileSystemAFullAndAReadOnlyDiskLeaveTheFormerReport(t *testing.T) {
	disk, log := smallDisk(t), smallLog(t, "A", "B")
	code, _, errOut := moldwright(t, "report", "-q", "-o", disk, log)
	require.Equal(t, exitNotWritten, code)
	require.Contains(t, errOut, "is a volume of its own")
	require.Empty(t, names(t, disk))

	out := filepath.Join(disk, "out")
	code, _, errOut = moldwright(t, "report", "-q", "-o", out, log)
	require.Equal(t, exitDone, code, errOut)
	before := files(t, out)
	for _, left := range []int64{0, 100_000, 900_000} {
		fill(t, disk, left)
		code, _, errOut = moldwright(t, "report", "-q", "-o", out, log)
		require.Equal(t, exitNotWritten, code, "with %d bytes left: %s", left, errOut)
		require.Contains(t, errOut, "no space left on device; nothing was changed there")
		require.NotContains(t, errOut, "internal error")
		t.Log(strings.TrimSpace(errOut))
		require.Equal(t, before, files(t, out))
		require.Equal(t, []string{"ballast", "out"}, names(t, disk))
		code, _, errOut = moldwright(t, "template", "-q", "-o", filepath.Join(disk, "log.xlsx"))
		if code != exitDone {
			require.Equal(t, exitNotWritten, code)
			require.Contains(t, errOut, "no space left on device")
			require.Equal(t, []string{"ballast", "out"}, names(t, disk))
		}
		os.Remove(filepath.Join(disk, "log.xlsx"))
	}
	require.NoError(t, os.Remove(filepath.Join(disk, "ballast")))

	require.NoError(t, syscall.Mount("", disk, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""))
	code, _, errOut = moldwright(t, "report", "-q", "-o", out, log)
	require.Equal(t, exitNotWritten, code)
	require.Contains(t, errOut, "read-only file system; choose a place where you may write")
	require.Equal(t, before, files(t, out))
	code, _, errOut = moldwright(t, "check", "-q", "--problems", filepath.Join(disk, "p.csv"), log)
	require.Equal(t, exitNotWritten, code)
	require.Contains(t, errOut, "read-only file system")
}

// fill leaves so many bytes of a disk.
func fill(t *testing.T, disk string, left int64) {
	t.Helper()
	path := filepath.Join(disk, "ballast")
	os.Remove(path)
	var s syscall.Statfs_t
	require.NoError(t, syscall.Statfs(disk, &s))
	f, err := os.Create(path)
	require.NoError(t, err)
	_, err = f.Write(make([]byte, max(0, int64(s.Bavail)*s.Bsize-left)))
	require.NoError(t, err)
	require.NoError(t, f.Close())
}

func TestAReadOnlyPlace(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Skip("root may write everywhere; the read-only disk tells")
	}
	place := t.TempDir()
	require.NoError(t, os.Chmod(place, 0o555))
	defer os.Chmod(place, 0o755)
	code, _, errOut := moldwright(t, "report", "-q", "-o", filepath.Join(place, "out"), smallLog(t, "A", "B"))
	require.Equal(t, exitNotWritten, code)
	require.Contains(t, errOut, "permission denied; choose a place where you may write")
}
