package outdir

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The rules are those of Windows and hold on every system.
func TestNamesThatWindowsForbids(t *testing.T) {
	for _, name := range []string{
		"", "CON", "con", "Con.txt", "nul", "NUL.tar.gz", "aux .csv", "COM1", "com9.xlsx", "LPT3", "COM¹", "CONOUT$", "PRN.",
		"report.", "report ", "..", ".", "a:b", "a?b", "a*", `a"b`, "<b>", "a|b", `a\b`, "a/b", "tab\there", "nul\x00", strings.Repeat("x", 256),
	} {
		require.NotEmpty(t, Unfit(name), "%q", name)
	}
	for _, name := range []string{"report", "CONE", "console", "COM0", "COM10", "LPT", "null.csv", ".out", "my report", "Gießformen 鉢", "a.b.c", "~$a.xlsx", "AUXILIARY", "x.con", strings.Repeat("x", 255)} {
		require.Empty(t, Unfit(name), "%q", name)
	}
	for name := range Report.owned() {
		require.Empty(t, Unfit(name))
	}
	for _, role := range []string{unfinished, formerly} {
		require.Empty(t, Unfit(beside("/a/b", role)+"1-0"))
	}
}
