package main

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// How many runs are killed after a share of the time that one takes, and how many
// when they have begun to write so many files.
const (
	killedByTime  = 38
	killedByFiles = 12
)

// runs are runs of the program as processes of their own, of two logs in turn,
// into one place.
type runs struct {
	t        *testing.T
	out, tmp string
	logs     [2]string
	whole    [2]map[string][]byte // what each log gives
	count    int
}

func (r *runs) command(log int, out string) *exec.Cmd {
	cmd := exec.Command(os.Args[0], "report", "-q", "-o", out, r.logs[log])
	cmd.Env = append(os.Environ(), asProgram+"=1", "TMPDIR="+r.tmp, "TMP="+r.tmp)
	return cmd
}

// kill starts a run, ends it when told, and looks whether the report in place is
// whole: the former one to the byte, or the new one.
func (r *runs) kill(when func(exited <-chan struct{})) (finished bool) {
	r.count++
	log := r.count % 2
	before := files(r.t, r.out)
	cmd := r.command(log, r.out)
	require.NoError(r.t, cmd.Start())
	exited := make(chan struct{})
	go func() { cmd.Wait(); close(exited) }()
	when(exited)
	cmd.Process.Kill()
	<-exited
	after := files(r.t, r.out)
	if !same(before, after, "") {
		require.True(r.t, same(r.whole[log], after, "run.json"), "run %d left neither the former report nor the new one", r.count)
		require.True(r.t, json.Valid(after["run.json"]))
	}
	return cmd.ProcessState.Success()
}

// same compares folders, one file left out.
func same(a, b map[string][]byte, but string) bool {
	for name, data := range a {
		if other, there := b[name]; !there || name != but && !bytes.Equal(data, other) {
			return false
		}
	}
	return len(a) == len(b)
}

// begun are the folders of runs that have begun to write, ended ones included.
func (r *runs) begun() []string {
	return slices.DeleteFunc(names(r.t, filepath.Dir(r.out)), func(n string) bool { return !strings.HasPrefix(n, ".out.unfinished-") })
}

// written counts the files in the folder of the run under way; -1: there is no
// folder yet. Litter of runs before is not counted.
func (r *runs) written(litter []string) int {
	n := -1
	for _, name := range r.begun() {
		if slices.Contains(litter, name) {
			continue
		}
		n = max(n, 0)
		filepath.WalkDir(filepath.Join(filepath.Dir(r.out), name), func(_ string, d fs.DirEntry, err error) error {
			if err == nil && !d.IsDir() {
				n++
			}
			return nil
		})
	}
	return n
}

// interrupt asks a run to end while it writes: it clears up behind itself.
func (r *runs) interrupt() {
	if runtime.GOOS == "windows" {
		return // a process can't be asked there
	}
	before, litter := files(r.t, r.out), r.begun()
	cmd := r.command(0, r.out)
	require.NoError(r.t, cmd.Start())
	for r.written(litter) < 1 {
		time.Sleep(200 * time.Microsecond)
	}
	require.NoError(r.t, cmd.Process.Signal(os.Interrupt))
	cmd.Wait()
	require.Equal(r.t, exitInterrupted, cmd.ProcessState.ExitCode())
	require.True(r.t, same(before, files(r.t, r.out), ""))
	require.Empty(r.t, r.begun(), "nor is anything left of the runs before")
}

func TestARunMayBeKilledAtAnyMoment(t *testing.T) {
	byTime, byFiles := killedByTime, killedByFiles
	if testing.Short() {
		byTime, byFiles = 5, 2
	}
	place := t.TempDir()
	r := &runs{t: t, out: filepath.Join(place, "out"), tmp: t.TempDir(), logs: [2]string{smallLog(t, "A", "B"), smallLog(t, "A", "C", "D")}}
	var took time.Duration
	for i := range r.logs {
		start, other := time.Now(), filepath.Join(t.TempDir(), "other")
		out, err := r.command(i, other).CombinedOutput()
		require.NoError(t, err, string(out))
		took, r.whole[i] = time.Since(start), files(t, other)
	}
	require.False(t, same(r.whole[0], r.whole[1], "run.json"))
	require.NoError(t, r.command(0, r.out).Run())

	finished, writing := 0, 0
	for i := range byTime {
		wait := took * time.Duration(2*i+1) / time.Duration(2*byTime)
		if r.kill(func(exited <-chan struct{}) {
			select {
			case <-exited:
			case <-time.After(wait):
			}
		}) {
			finished++
		}
	}
	for i := range byFiles {
		reach, litter := len(r.whole[0])*i/(byFiles-1), r.begun()
		if r.kill(func(exited <-chan struct{}) {
			for ; ; time.Sleep(200 * time.Microsecond) {
				select {
				case <-exited:
					return
				default:
				}
				if r.written(litter) >= reach {
					writing++
					return
				}
			}
		}) {
			finished++
		}
	}
	t.Logf("a run takes %.1f s; of %d killed, %d had ended before and %d were writing", took.Seconds(), r.count, finished, writing)
	require.Less(t, finished, r.count/2+1)
	r.interrupt()
	require.NoError(t, r.command(1, r.out).Run())
	require.True(t, same(r.whole[1], files(t, r.out), "run.json"))
	require.Equal(t, []string{"out"}, names(t, place), "no litter beside the report")
	require.Empty(t, names(t, r.tmp), "no litter among the temporary files")
}
