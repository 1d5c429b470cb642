package main

import (
	"fmt"
	"go/ast"
	"go/constant"
	"go/parser"
	"go/token"
	"go/types"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestTheLimitsOnThePage holds that each limit which DEVELOPERS tells of is that of
// the source, and that the tests named beside it are there.
func TestTheLimitsOnThePage(t *testing.T) {
	root := filepath.Join("..", "..")
	page, err := os.ReadFile(filepath.Join(root, "DEVELOPERS.md"))
	require.NoError(t, err)
	_, section, ok := strings.Cut(string(page), "\n## Limits on what is read\n")
	require.True(t, ok)
	section, _, _ = strings.Cut(section, "\n## ")

	tests := testsOf(t, root)
	for _, m := range regexp.MustCompile("`(Test[A-Z0-9]\\w+)`").FindAllStringSubmatch(section, -1) {
		require.True(t, tests[m[1]], "there is no test %s", m[1])
	}
	limits := 0
	for line := range strings.Lines(section) {
		cells := strings.Split(line, "|")
		m := regexp.MustCompile("`([a-z/]+)` `(\\w+)`").FindStringSubmatch(line)
		if m == nil {
			continue
		}
		limits++
		require.Equal(t, strings.TrimSpace(cells[2]), written(constantOf(t, filepath.Join(root, filepath.FromSlash(m[1])), m[2]), strings.Contains(cells[2], "iB")), line)
		require.Contains(t, cells[4], "`Test", line)
	}
	require.Greater(t, limits, 20)
}

// testsOf are the names of all tests of the project.
func testsOf(t *testing.T, root string) map[string]bool {
	t.Helper()
	names := map[string]bool{}
	require.NoError(t, filepath.WalkDir(root, func(path string, _ fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		for _, m := range regexp.MustCompile(`(?m)^func (Test\w+)\(`).FindAllStringSubmatch(string(text), -1) {
			names[m[1]] = true
		}
		return err
	}))
	return names
}

// constantOf is the value of a whole constant of a package.
func constantOf(t *testing.T, dir, name string) int64 {
	t.Helper()
	set := token.NewFileSet()
	var parsed []*ast.File
	sources, err := filepath.Glob(filepath.Join(dir, "*.go"))
	require.NoError(t, err)
	for _, path := range sources {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(set, path, nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		parsed = append(parsed, f)
	}
	// Imports are not looked up, which its errors are about; constants need none.
	quiet := types.Config{Error: func(error) {}}
	p, _ := quiet.Check(dir, set, parsed, nil)
	c, ok := p.Scope().Lookup(name).(*types.Const)
	require.True(t, ok, "%s has no constant %s", dir, name)
	value, exact := constant.Int64Val(constant.ToInt(c.Val()))
	require.True(t, exact)
	return value
}

// written is a number as the page writes it.
func written(n int64, bytes bool) string {
	if bytes {
		for _, unit := range []string{"bytes", "KiB", "MiB", "GiB"} {
			if n%1024 != 0 || unit == "GiB" {
				return fmt.Sprint(n, " ", unit)
			}
			n /= 1024
		}
	}
	s := strconv.FormatInt(n, 10)
	for at := len(s) - 3; at > 0; at -= 3 {
		s = s[:at] + "," + s[at:]
	}
	return s
}
