package main

import (
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestTheDependenciesOnThePage holds that DEVELOPERS tells of every module that ours
// requires by itself, with the version of go.mod.
func TestTheDependenciesOnThePage(t *testing.T) {
	root := filepath.Join("..", "..")
	page, err := os.ReadFile(filepath.Join(root, "DEVELOPERS.md"))
	require.NoError(t, err)
	_, table, ok := strings.Cut(string(page), "\n## Dependencies\n")
	require.True(t, ok)
	table, _, _ = strings.Cut(table, "\n## ")
	required, err := os.ReadFile(filepath.Join(root, "go.mod"))
	require.NoError(t, err)
	direct := regexp.MustCompile(`(?m)^(?:require |\t)(\S+) (v\S+)$`).FindAllStringSubmatch(string(required), -1)
	require.Greater(t, len(direct), 8)
	for _, m := range direct {
		name, version := m[1], m[2]
		found := false
		for line := range strings.Lines(table) {
			// Modules of one home may share a row: golang.org/x/sys, x/term.
			short := path.Join(path.Base(path.Dir(name)), path.Base(name))
			found = found || strings.Contains(line, version) && (strings.Contains(line, name) || strings.Contains(line, ", "+short+" "))
		}
		require.True(t, found, "DEVELOPERS does not tell of %s %s", name, version)
	}
}
