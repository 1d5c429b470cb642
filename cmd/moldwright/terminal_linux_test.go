package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// pseudoTerminal opens a terminal of so many columns. What is written to it can be read
// when it is closed.
func pseudoTerminal(t *testing.T, columns uint16) (tty *os.File, written func() string) {
	t.Helper()
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		t.Skip("no pseudo-terminals here:", err)
	}
	require.NoError(t, unix.IoctlSetPointerInt(int(master.Fd()), unix.TIOCSPTLCK, 0))
	number, err := unix.IoctlGetInt(int(master.Fd()), unix.TIOCGPTN)
	require.NoError(t, err)
	tty, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|unix.O_NOCTTY, 0)
	require.NoError(t, err)
	require.NoError(t, unix.IoctlSetWinsize(int(tty.Fd()), unix.TIOCSWINSZ, &unix.Winsize{Row: 24, Col: columns}))
	all := make(chan string)
	go func() {
		data, _ := io.ReadAll(master) // ends with an error when the terminal is closed
		all <- string(data)
	}()
	return tty, func() string {
		require.NoError(t, tty.Close())
		select {
		case text := <-all:
			require.NoError(t, master.Close())
			return text
		case <-time.After(time.Minute):
			t.Fatal("the terminal is not done")
			return ""
		}
	}
}

// TestOnATerminal runs the program on terminals of two widths: lines fit, progress is
// told on the one for diagnostics and wiped away, nothing is told by color, and
// NO_COLOR changes nothing.
func TestOnATerminal(t *testing.T) {
	log := smallLog(t, "a", "b", "c")
	var before string
	for _, c := range []struct {
		columns uint16
		noColor string
	}{{80, ""}, {80, "1"}, {44, "yes"}} {
		t.Setenv("NO_COLOR", c.noColor)
		t.Setenv("TERM", "xterm")
		out, outText := pseudoTerminal(t, c.columns)
		diagnostics, errText := pseudoTerminal(t, c.columns)
		code := run(context.Background(), []string{"report", "-o", filepath.Join(t.TempDir(), "out"), log}, out, diagnostics)
		said, progress := outText(), errText()
		require.Equal(t, exitDone, code, progress)
		require.NotContains(t, said+progress, "\x1b")
		lines := strings.Split(strings.ReplaceAll(strings.TrimSpace(said), "\r", ""), "\n")
		for _, line := range lines {
			require.LessOrEqual(t, utf8.RuneCountInString(line), int(c.columns), line)
		}
		if c.columns == 80 {
			require.LessOrEqual(t, len(lines), 10, said)
		}
		for _, stage := range []string{"reading", "drawing charts", "writing the workbook"} {
			require.Contains(t, progress, "\r"+stage)
		}
		for _, shown := range strings.Split(progress, "\r") {
			require.Less(t, utf8.RuneCountInString(shown), int(c.columns))
		}
		require.Empty(t, strings.TrimSpace(progress[strings.LastIndex(strings.TrimRight(progress, "\r"), "\r")+1:]), "the last thing said is wiped away")
		if c.columns == 80 && before != "" {
			require.Equal(t, lastLineOff(before), lastLineOff(said))
		}
		before = said
	}
	t.Setenv("TERM", "dumb")
	diagnostics, errText := pseudoTerminal(t, 80)
	require.Equal(t, exitDone, run(context.Background(), []string{"check", log}, io.Discard, diagnostics))
	require.Empty(t, errText(), "a terminal that can't overwrite a line")
}

// lastLineOff is a text without its last line, which names the folder.
func lastLineOff(text string) string {
	text = strings.TrimSpace(text)
	return text[:strings.LastIndex(text, "Wrote")]
}
