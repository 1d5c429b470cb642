package tables

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"
)

// TestEveryDeclaredTableIsListed compares the lists with the source, so that a
// new table cannot be left off the page.
func TestEveryDeclaredTableIsListed(t *testing.T) {
	declared := 0
	paths, err := filepath.Glob("*.go")
	require.NoError(t, err)
	for _, path := range paths {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		require.NoError(t, err)
		for _, d := range file.Decls {
			if f, ok := d.(*ast.FuncDecl); ok && f.Name.Name == "TableName" && f.Recv != nil {
				declared++
			}
		}
	}
	require.Len(t, append(Inputs(), Outputs()...), declared)
	page := Page()
	for _, table := range append(Inputs(), Outputs()...) {
		require.Equal(t, 1, strings.Count(page, "\n### "+table.Name+": "), table.Name)
	}
}

// TestDocLinesReadWell holds what a line needs that is read alone, in a table or
// as a field's metadata.
func TestDocLinesReadWell(t *testing.T) {
	dangling := regexp.MustCompile(`^(Its|That|Those|Of these|Upper end of that|Lower end of that|(Lower|Upper) end of (the \d+ % (profile )?interval$|its))\b`)
	for _, table := range append(Inputs(), Outputs()...) {
		require.NotEmpty(t, table.Doc, table.Name)
		seen := map[string]string{}
		for _, c := range table.Columns {
			where := table.Name + "." + c.Name + ": " + c.Doc
			require.NotEmpty(t, c.Doc, where)
			first := []rune(c.Doc)[0]
			require.True(t, unicode.IsUpper(first), "begins with a capital: %s", where)
			require.False(t, strings.HasSuffix(c.Doc, "."), "is no sentence: %s", where)
			require.GreaterOrEqual(t, len(strings.Fields(c.Doc)), 2, "says more than a word: %s", where)
			require.NotRegexp(t, dangling, c.Doc, "can be read alone: %s", where)
			require.Empty(t, seen[c.Doc], "means the same as %s: %s", seen[c.Doc], where)
			seen[c.Doc] = c.Name
			require.NotContains(t, c.Doc, "  ", where)
		}
	}
}

// TestNamesAndUnitsAgree: a unit in a column's name is that of the declaration.
func TestNamesAndUnitsAgree(t *testing.T) {
	units := map[string]string{"_mm": "mm", "_kg": "kg", "_lb": "lb", "_l": "L", "_min": "min", "_casts": "casts", "_per_cast": "1/cast", "_mm2_per_min": "mm²/min", "cost": "currency"}
	for _, table := range Outputs() {
		for _, c := range table.Columns {
			for ending, unit := range units {
				if strings.HasSuffix(c.Name, ending) && !(ending == "_min" && strings.HasSuffix(c.Name, "_per_min")) {
					require.Equal(t, unit, c.Unit, "%s.%s", table.Name, c.Name)
				}
			}
		}
	}
}
