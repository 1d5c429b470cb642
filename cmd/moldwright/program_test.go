package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// asProgram tells a process, which is this test run again, to be the program.
const asProgram = "MOLDWRIGHT_BE_THE_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main() // exits
	}
	os.Unsetenv("COLUMNS") // lines are as wide as where no terminal is
	os.Exit(m.Run())
}

// smallLog is a log of a few molds with names of the test's own, about as small as
// one can be that all answers are given for.
func smallLog(t *testing.T, molds ...string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "log")
	require.NoError(t, os.Mkdir(dir, 0o755))
	var casts, pours strings.Builder
	casts.WriteString("date,mold,dwell (min),wall (mm),result\n")
	pours.WriteString("pour,date,mold,maker,class,plaster (kg),water (kg),leftover (kg),spilled (kg),trimmed (kg),outcome\n")
	for i, mold := range molds {
		quoted := `"` + strings.ReplaceAll(mold, `"`, `""`) + `"`
		for n := range 8 {
			dwell := 18 + float64((5*n+3*i)%9)
			wall := math.Sqrt(0.9*dwell) * math.Exp(-0.004*float64(n)) * (1 + 0.01*float64((n*7+i*3)%5-2))
			fmt.Fprintf(&casts, "2025-03-%02d,%s,%.0f,%.2f,%s\n", 1+n*3+i%3, quoted, dwell, wall, []string{"good", "good", "second"}[(n+i)%3])
		}
		fmt.Fprintf(&pours, "%s,2025-02-%02d,%s,%s,%s,4.2,2.9,0.3,0.1,0.4,%s\n", quoted, 1+i%27, quoted, quoted, quoted, []string{"good", "leaked"}[i%2])
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "casts.csv"), []byte(casts.String()), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "pours.csv"), []byte(pours.String()), 0o644))
	return dir
}

// names are the entries of a folder.
func names(t *testing.T, dir string) []string {
	t.Helper()
	list, err := os.ReadDir(dir)
	require.NoError(t, err)
	var out []string
	for _, e := range list {
		out = append(out, e.Name())
	}
	return out
}
