package ingest

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/ingest/grid"
)

const oneCast = "date,mold,dwell (min),wall (mm)\n2025-03-01,A,20,5\n"

// changing is a file whose content another program replaces each time it was read.
type changing struct {
	fstest.MapFS
	then []*fstest.MapFile // nil: the file is removed
}

func (c *changing) look() (fs.FileInfo, error) { return c.Stat("a.csv") }

func (c *changing) open() (fs.File, error) {
	f, err := c.Open("a.csv")
	if len(c.then) > 0 {
		next := c.then[0]
		c.then = c.then[1:]
		if next == nil {
			delete(c.MapFS, "a.csv")
		} else {
			c.MapFS["a.csv"] = next
		}
	}
	return f, err
}

func TestAFileThatChangesWhileItIsReadIsReadAgainOrRefused(t *testing.T) {
	start := time.Date(2025, 3, 1, 0, 0, 0, 0, time.UTC)
	at := func(second int, text string) *fstest.MapFile {
		return &fstest.MapFile{Data: []byte(text), ModTime: start.Add(time.Duration(second) * time.Second)}
	}
	for name, c := range map[string]struct {
		then []*fstest.MapFile
		want string
		why  string
	}{
		"left alone":       {nil, "old", ""},
		"saved once":       {[]*fstest.MapFile{at(1, "new")}, "new", ""},
		"growing once":     {[]*fstest.MapFile{at(0, "older")}, "older", ""},
		"saved for ever":   {[]*fstest.MapFile{at(1, "1"), at(2, "2"), at(3, "3"), at(4, "4")}, "", "the file was changed while it was read"},
		"removed":          {[]*fstest.MapFile{nil}, "", "the file was removed while it was read"},
		"emptied":          {[]*fstest.MapFile{at(1, "")}, "", "the file is empty: it has 0 bytes"},
		"grows out of all": {[]*fstest.MapFile{at(1, "x"), at(2, "xx"), at(3, "xxx")}, "", "the file was changed while it was read"},
	} {
		t.Run(name, func(t *testing.T) {
			f := &changing{fstest.MapFS{"a.csv": at(0, "old")}, c.then}
			data, why := loadFrom(f.open, f.look)
			require.Equal(t, c.why, why)
			require.Equal(t, c.want, string(data))
			if why != "" {
				require.NotEmpty(t, howToMend(why, "a.csv"))
			}
		})
	}
	require.Contains(t, howToMend("the file was changed while it was read", "a.csv"), "save and close it")
}

type failing struct{ fs.File }

func (failing) Read([]byte) (int, error) { return 0, errors.New("input/output error") }
func (failing) Close() error             { return nil }

func TestAFileThatCannotBeReadToItsEndIsRefused(t *testing.T) {
	m := fstest.MapFS{"a.csv": {Data: []byte("abc")}}
	data, why := loadFrom(func() (fs.File, error) { return failing{}, nil }, func() (fs.FileInfo, error) { return m.Stat("a.csv") })
	require.Nil(t, data)
	require.Equal(t, "the file cannot be opened: input/output error", why)
	_, why = loadFrom(func() (fs.File, error) { return nil, io.ErrClosedPipe }, func() (fs.FileInfo, error) { return m.Stat("a.csv") })
	require.Contains(t, why, "cannot be opened")
}

func TestAFileThatVanishesBeforeItIsReadIsToldAndTheRestIsRead(t *testing.T) {
	dir := folder(t, map[string]string{"a.csv": oneCast, "gone.csv": oneCast})
	sources, err := Find([]string{dir})
	require.NoError(t, err)
	require.NoError(t, os.Remove(filepath.Join(dir, "gone.csv")))
	res, err := Read(t.Context(), sources, Options{})
	require.NoError(t, err)
	t.Cleanup(res.Studio.Release)
	require.Equal(t, 1, res.Studio.Casts.Len())
	require.Contains(t, res.Reading.Files[1].Unreadable, "cannot be opened")
}

// The files of 4 GiB have no blocks on the disk.
func TestSizesFromNoneTo4GiB(t *testing.T) {
	dir := folder(t, map[string]string{"a.csv": oneCast, "zero.csv": "", "zero.xlsx": ""})
	for name, size := range map[string]int64{"large.csv": 4 << 30, "large.xlsx": 4 << 30, "over.csv": grid.MaxFileBytes + 1} {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, nil, 0o600))
		if err := os.Truncate(path, size); err != nil {
			t.Skip("no such large files here:", err)
		}
	}
	res := readAll(t, Options{}, dir)
	require.Equal(t, 1, res.Studio.Casts.Len())
	why := map[string]string{}
	for _, f := range res.Reading.Files {
		why[filepath.Base(f.Name)] = f.Unreadable
	}
	require.Equal(t, map[string]string{
		"a.csv": "", "zero.csv": "the file is empty: it has 0 bytes", "zero.xlsx": "the file is empty: it has 0 bytes",
		"large.csv": "the file is larger than 1 GiB and not in UTF-8", "large.xlsx": "the file is larger than 1 GiB", "over.csv": "the file is larger than 1 GiB and not in UTF-8",
	}, why)
}

func TestThousandsOfFiles(t *testing.T) {
	files := map[string]string{}
	for i := range 3000 {
		name := "f" + strconv.Itoa(i)
		files["d"+strconv.Itoa(i%50)+"/"+name+".csv"] = "date,mold,dwell (min),wall (mm)\n2025-03-01," + name + ",20,5\n"
	}
	res := readAll(t, Options{}, folder(t, files))
	require.Equal(t, 3000, res.Studio.Casts.Len())
	require.Len(t, res.Reading.Files, 3000)
}

func TestNamesOfFilesOfAllSorts(t *testing.T) {
	names := []string{"my log.csv", "Gießen 鉢 чаша.csv", "e\u0301.csv", strings.Repeat("x", 251) + ".csv", "#1 50% & more?.csv", "CON.csv", "a:b.csv", "tab\there.csv", "line\nbreak.csv", "quote\".csv", "-o.csv", "=1+1.csv", "..csv", "\xff.csv"}
	files := map[string]string{}
	for i, n := range names {
		files[n] = strings.Replace(oneCast, "A", "m"+strconv.Itoa(i), 1)
	}
	dir := filepath.Join(t.TempDir(), "logs")
	require.NoError(t, os.Mkdir(dir, 0o755))
	written := 0
	for n, text := range files {
		if os.WriteFile(filepath.Join(dir, n), []byte(text), 0o600) == nil { // not every system takes every name
			written++
		}
	}
	if strings.HasPrefix("..csv", ".") {
		written-- // hidden
	}
	res := readAll(t, Options{}, dir)
	require.Equal(t, written, res.Studio.Casts.Len())
}

// Twenty folders of two links each to the next: a million ways to one file.
func TestLinksThatLeadToOnePlaceInAMillionWays(t *testing.T) {
	dir := folder(t, map[string]string{"d20/a.csv": oneCast})
	for i := range 20 {
		at := filepath.Join(dir, "d"+strconv.Itoa(i))
		require.NoError(t, os.Mkdir(at, 0o755))
		for _, name := range []string{"l", "r"} {
			if err := os.Symlink(filepath.Join(dir, "d"+strconv.Itoa(i+1)), filepath.Join(at, name)); err != nil {
				t.Skip("no links here:", err)
			}
		}
	}
	self := filepath.Join(dir, "self.csv")
	require.NoError(t, os.Symlink(self, self))
	start := time.Now()
	sources, err := Find([]string{dir})
	require.NoError(t, err)
	require.Len(t, sources, 2)
	require.Less(t, time.Since(start), 10*time.Second)
	again, err := Find([]string{filepath.Join(dir, "d19"), dir})
	require.NoError(t, err)
	other, err := Find([]string{dir, filepath.Join(dir, "d19")})
	require.NoError(t, err)
	require.Equal(t, again, other, "the order of paths doesn't matter")
}

func TestTheLockFileOfAnOpenWorkbookIsPassedOver(t *testing.T) {
	data, err := os.ReadFile(workbook(t, [][]any{castHeader, {day1(), "A", 20, 5}}, nil))
	require.NoError(t, err)
	lock := append([]byte{5, 'P', 'o', 't', 't', 'e'}, bytes.Repeat([]byte{' '}, 159)...) // as Excel writes it
	dir := folder(t, map[string]string{"log.xlsx": string(data), "~$log.xlsx": string(lock), ".~lock.log.xlsx#": ",me,here,;"})
	res := readAll(t, Options{}, dir)
	require.Len(t, res.Reading.Files, 1)
	require.Equal(t, 1, res.Studio.Casts.Len())
	res = readAll(t, Options{}, filepath.Join(dir, "log.xlsx"), filepath.Join(dir, "~$log.xlsx"))
	require.Len(t, res.Reading.Files, 2, "named outright it is told of")
	require.Contains(t, res.Reading.Files[1].Unreadable, "lock file")
}
