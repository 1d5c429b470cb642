package codes

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// written are the codes that stand in the program's source.
func written(t *testing.T) map[string]string {
	pattern := regexp.MustCompile(`(?:\bCode:\s*|\bCode[A-Z]\w*\s*=\s*)"([a-z][a-z0-9-]+)"`)
	found := map[string]string{}
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		for _, m := range pattern.FindAllStringSubmatch(string(text), -1) {
			found[m[1]] = path
		}
		return err
	})
	require.NoError(t, err)
	return found
}

func TestEveryCodeOfTheProgramIsExplainedAndNoOther(t *testing.T) {
	source := written(t)
	require.Greater(t, len(source), 60)
	explained := map[string]bool{}
	for _, g := range Groups() {
		for _, c := range g.Codes {
			require.False(t, explained[c.Code], "%s is explained twice", c.Code)
			require.NotContains(t, []string{c.Becomes, c.Means, c.Mend}, "", c.Code)
			explained[c.Code] = true
			require.Contains(t, source, c.Code, "is explained, but the program does not know it")
		}
	}
	for code, path := range source {
		require.True(t, explained[code], "%s of %s is not explained", code, path)
	}
}

// TestEveryCodeIsTried holds that a test or a file of expectations names each
// code that reading can give.
func TestEveryCodeIsTried(t *testing.T) {
	names := map[string]string{}
	text, err := os.ReadFile(filepath.Join("..", "ingest", "problems.go"))
	require.NoError(t, err)
	for _, m := range regexp.MustCompile(`\b(Code[A-Z]\w*)\s*=\s*"([a-z0-9-]+)"`).FindAllStringSubmatch(string(text), -1) {
		names[m[2]] = m[1]
	}
	var tests strings.Builder
	for _, pattern := range []string{"../ingest/*_test.go", "../../testdata/ingest/*.csv", "../../testdata/ingest/corpus/*/*.want.csv", "../../cmd/moldwright/*_test.go"} {
		files, err := filepath.Glob(pattern)
		require.NoError(t, err)
		for _, f := range files {
			text, err := os.ReadFile(f)
			require.NoError(t, err)
			tests.Write(text)
		}
	}
	var untried []string
	for code, name := range names {
		if !regexp.MustCompile(`\b` + name + `\b|\b` + code + `\b`).MatchString(tests.String()) {
			untried = append(untried, code)
		}
	}
	slices.Sort(untried)
	require.Empty(t, untried, "no test and no expectation names these codes")
}
