package scratch

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// holdIn tells this test, run again as a process of its own, where to make a
// folder that it keeps until it is killed.
const holdIn = "MOLDWRIGHT_HOLD_FOLDER"

func TestMain(m *testing.M) {
	if parent := os.Getenv(holdIn); parent != "" {
		d, err := Make(parent, ".x-", 0o755)
		if err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		fmt.Println(d.Path())
		time.Sleep(time.Minute)
		os.Exit(1)
	}
	os.Exit(m.Run())
}

func TestAFolderIsClearedWhenItsProcessWasKilledAndNotBefore(t *testing.T) {
	parent := t.TempDir()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), holdIn+"="+parent)
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	lines := bufio.NewScanner(out)
	require.True(t, lines.Scan())
	folder := lines.Text()
	require.DirExists(t, folder)
	Clear(parent, ".x-")
	require.DirExists(t, folder, "its process lives")
	require.NoError(t, cmd.Process.Kill())
	require.Error(t, cmd.Wait())
	require.Equal(t, []string{folder}, Left(parent, ".x-"))
	Clear(parent, ".x-")
	require.NoDirExists(t, folder)
}

// A dead process's number may be that of a living one by now: in a container the
// same few come again and again.
func TestALivingProcessOfTheSameNumberDoesNotKeepLitter(t *testing.T) {
	parent := t.TempDir()
	for _, pid := range []int{1, os.Getppid(), os.Getpid()} {
		path := filepath.Join(parent, ".x-"+strconv.Itoa(pid)+"-0")
		require.NoError(t, os.Mkdir(path, 0o755))
		if l, _ := take(path); !l.sure() && pid != os.Getpid() {
			l.release()
			t.Skipf("no locks on folders on %s", runtime.GOOS)
		} else {
			l.release()
		}
		Clear(parent, ".x-")
		require.NoDirExists(t, path)
	}
}

func TestFoldersOfOneProcessAreApart(t *testing.T) {
	parent := t.TempDir()
	a, err := Make(parent, ".x-", 0o755)
	require.NoError(t, err)
	b, err := Make(parent, ".x-", 0o755)
	require.NoError(t, err)
	require.NotEqual(t, a.Path(), b.Path())
	require.NoError(t, os.WriteFile(filepath.Join(a.Path(), "file"), nil, 0o600))
	require.NoError(t, a.Remove())
	require.NoDirExists(t, a.Path())
	b.Release()
	Clear(parent, ".x-")
	require.NoDirExists(t, b.Path(), "given up and still under its name: litter")
}

func TestWhatIsNotOursStays(t *testing.T) {
	parent, elsewhere := t.TempDir(), t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(elsewhere, "thesis"), nil, 0o600))
	for _, name := range []string{".x-", ".x-mine", ".x--4", ".xx-4194305", "y.x-4194305"} {
		require.NoError(t, os.Mkdir(filepath.Join(parent, name), 0o755))
	}
	require.NoError(t, os.WriteFile(filepath.Join(parent, ".x-4194305-0"), nil, 0o600))
	if err := os.Symlink(elsewhere, filepath.Join(parent, ".x-4194306-0")); err != nil {
		t.Log("no links here:", err)
	}
	before, err := os.ReadDir(parent)
	require.NoError(t, err)
	Clear(parent, ".x-")
	after, err := os.ReadDir(parent)
	require.NoError(t, err)
	require.Len(t, after, len(before))
	require.FileExists(t, filepath.Join(elsewhere, "thesis"))
	Clear(filepath.Join(parent, "nowhere"), ".x-") // does nothing
}

func TestMakeSaysWhyItCannot(t *testing.T) {
	_, err := Make(filepath.Join(t.TempDir(), "nowhere"), ".x-", 0o755)
	require.ErrorIs(t, err, os.ErrNotExist)
}
