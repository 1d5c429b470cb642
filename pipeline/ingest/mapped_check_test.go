package ingest

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/ingest/mapping"
)

func TestAMappingNamesKnownColumnsUnitsAndWords(t *testing.T) {
	head := "[[sheet]]\ntable = \"casts\"\n[sheet.columns]\n"
	for entry, want := range map[string]string{
		`"a" = "dwelll tiem"`:                            `column "a": no column is called "dwelll tiem"`,
		`"a" = "dwell (furlong)"`:                        `"furlong" is no unit that fits`,
		`"a" = "dwell (mm)"`:                             `is no unit that fits`,
		"[sheet.words]\n\"io\" = \"goood\"":              `word "io": "goood" is no word`,
		"[sheet.words]\n\"io\" = \"one-piece\"":          `is no word`,
		`"a" = "dwell (min)"`:                            "",
		`"a" = "Dwell time [hh:mm]"`:                     "",
		`"a" = "date (dd.mm.yyyy)"`:                      "",
		`"a" = "wall 2 (in, fired)"`:                     "",
		"\"a\" = \"\"\n[sheet.words]\n\"io\" = \"Good\"": "",
	} {
		m, err := mapping.Parse(head + entry + "\n")
		require.NoError(t, err)
		if err := CheckMapping(m); want == "" {
			require.NoError(t, err, entry)
		} else {
			require.ErrorContains(t, err, want, entry)
		}
	}
	require.NoError(t, CheckMapping(nil))
}

func TestMappingsOfTheCorpusAreKnown(t *testing.T) {
	files, err := filepath.Glob("../../testdata/ingest/corpus/*/*.mapping.toml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, f := range files {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		m, err := mapping.Parse(string(text))
		require.NoError(t, err)
		require.NoError(t, CheckMapping(m), f)
	}
}
