package mapping

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline/tables"
)

const german = `
[[sheet]]
file = "guss-*.csv"
table = "casts"
  [sheet.columns]
  "Gussform" = "mold"
  "Standzeit" = "dwell (min)"
  "column D" = "wall (mm)"
  "Bemerkung" = ""
  "Nie da" = "note"
  [sheet.given]
  slip = "S1"
  [sheet.words]
  "gut" = "good"

[[sheet]]
file = "other.xlsx"
sheet = "Blatt ?"
leave_out = true
`

func TestARuleSettlesHeadersWordsAndSheets(t *testing.T) {
	m, err := Parse(german)
	require.NoError(t, err)
	require.Nil(t, m.For("log.csv", ""))
	r := m.For("logs/guss-2025.csv", "")
	require.NotNil(t, r, "a pattern without folders fits the last part of a path")
	for _, c := range []struct {
		letter, header, as string
		settled            bool
	}{
		{"A", " gussform ", "mold", true}, {"B", "Standzeit", "dwell (min)", true}, {"D", "Scherben", "wall (mm)", true},
		{"E", "Bemerkung", "", true}, {"F", "Datum", "", false},
	} {
		as, settled := r.Rename(c.letter, c.header)
		require.Equal(t, []any{c.as, c.settled}, []any{as, settled}, c.header)
	}
	as, ok := r.Word("GUT")
	require.True(t, ok)
	require.Equal(t, "good", as)
	require.Equal(t, []string{`[[sheet]] number 1: no header is "Nie da"`, "[[sheet]] number 2 fits no sheet that was read"}, m.Unused())
	require.True(t, m.For("other.xlsx", "Blatt 7").LeaveOut)
	require.Len(t, m.Unused(), 1)
}

func TestWhatIsWrongWithAMappingIsSaidWithItsPlace(t *testing.T) {
	for text, want := range map[string]string{
		"[[sheet]]\nfile = log.xlsx\n":                                  "line 2",
		"[[sheet]]\nfiles = \"log.xlsx\"\n":                             `nothing here is called "sheet.files"`,
		"[[sheet]]\ntable = \"cast\"\n":                                 `there is no table "cast": write one of molds, pours`,
		"[[sheet]]\ntable = \"casts\"\n[sheet.given]\nmolds = \"M1\"\n": `casts has no column "molds"`,
		"[[sheet]]\n[sheet.given]\nmold = \"M1\"\n":                     "need the table",
		"[[sheet]]\nfile = \"[\"\n":                                     "no pattern",
	} {
		_, err := Parse(text)
		require.ErrorContains(t, err, want, text)
	}
	_, err := Read("no such file.toml")
	require.ErrorContains(t, err, "cannot be opened")
}

func TestADraftIsAMappingThatCanBeRead(t *testing.T) {
	text := Text([]Draft{{File: "logs/guss.csv", Why: "no row names\nthe columns", Columns: []tables.BlockColumn{
		{Letter: "A", Header: "Guss\"form\\", Column: "mold"}, {Letter: "B", Header: ""}, {Letter: "C", Header: "Wand"}, {Letter: "D", Header: "wand"},
		{Letter: "E", Header: "Ma\x00ß\n(mm)"},
	}}, {File: "b.xlsx", Sheet: "März", Table: "casts"}})
	m, err := Parse(text)
	require.NoError(t, err, text)
	require.Len(t, m.Sheets, 2)
	require.Equal(t, map[string]string{"Guss\"form\\": "mold", "column B": "", "Wand": "", "column D": "", "Ma ß (mm)": ""}, m.Sheets[0].Columns)
	require.Equal(t, "casts", m.Sheets[1].Table)
	require.True(t, strings.HasPrefix(text, "# What the sheets mean"))
	require.NotNil(t, m.For("logs/guss.csv", ""))
}

func TestNamesWithBracketsAndFilesOfOneNameStayApart(t *testing.T) {
	files := []string{"logs/old [1].csv", "logs/old [.csv", "logs/a*.csv", "x/g.csv", "y/g.csv"}
	var drafts []Draft
	for _, f := range files {
		drafts = append(drafts, Draft{File: f, Columns: []tables.BlockColumn{{Letter: "A", Header: f}}})
	}
	m, err := Parse(Text(drafts))
	require.NoError(t, err)
	for i, f := range files {
		require.Same(t, m.Sheets[i], m.For(f, ""), f)
	}
	require.Nil(t, m.For("logs/ab.csv", ""), "a star of a name is no pattern")

	byHand, err := Parse("[[sheet]]\nfile = \"old [1].csv\"\n")
	require.NoError(t, err)
	require.NotNil(t, byHand.For("logs/old [1].csv", ""))
}

func TestValuesMayBeNumbersAndDaysAndUnusedWordsAreTold(t *testing.T) {
	m, err := Parse("[[sheet]]\ntable = \"casts\"\n[sheet.given]\nmold = 7\ndate = 2025-03-01\ndwell = 22.5\n[sheet.words]\n\"io\" = \"good\"\n")
	require.NoError(t, err)
	require.Equal(t, map[string]string{"mold": "7", "date": "2025-03-01", "dwell": "22.5"}, m.Sheets[0].Given)
	m.For("a.csv", "")
	require.Equal(t, []string{`[[sheet]] number 1: no cell where a word is chosen holds "io"`}, m.Unused())
	m.Sheets[0].Word("io")
	require.Empty(t, m.Unused())
}

// What is no mapping file ends with an error, in little time and memory.
func TestWhatIsNoMappingFileIsRefused(t *testing.T) {
	dir := t.TempDir()
	sparse := filepath.Join(dir, "large.toml")
	require.NoError(t, os.WriteFile(sparse, nil, 0o600))
	require.NoError(t, os.Truncate(sparse, MaxFileBytes+1))
	endless := filepath.Join(dir, "endless.toml")
	if err := os.Symlink("/dev/zero", endless); err != nil {
		endless = dir
	}
	for _, name := range []string{sparse, endless, dir} {
		_, err := Read(name)
		require.ErrorContains(t, err, "is no mapping file", name)
	}
	_, err := Read(filepath.Join(dir, "gone.toml"))
	require.ErrorContains(t, err, "cannot be opened")
}

// The library's time grows as the third power of such depths.
func TestDeepNestingInAMappingIsRefused(t *testing.T) {
	start := time.Now()
	const times = 200_000
	for _, text := range []string{
		"x = " + strings.Repeat("[", times), "x = " + strings.Repeat("{a=", times), "x = " + strings.Repeat("[\n", times),
		strings.Repeat("a.", times) + "a = 1", "[" + strings.Repeat("a.", times) + "a]",
		"x = [\"\"\"\n\"\"\", " + strings.Repeat("{a=", times), "x = ['''\n''', " + strings.Repeat("{a=", times),
	} {
		_, err := Parse(text)
		require.ErrorContains(t, err, "deep", text[:20])
	}
	require.Less(t, time.Since(start), 5*time.Second)
	_, err := Parse("[[sheet]]\nfile = \"a.b.c.d.e.f.g.h.i.j.k.l.m.n.o.p.q.r.s.csv\" # ... ... ... ... ... ...\n[sheet.columns]\n\"Dwell [[[[[[[[[[[[[[[[[[\\\"\" = 'dwell'\n")
	require.NoError(t, err, "what stands in quotation marks may be anything")
}

// Whatever a mapping file holds, reading it ends, and what was read can be asked.
func FuzzMapping(f *testing.F) {
	f.Add(german)
	f.Add("[[sheet]]\ntable = \"casts\"\n[sheet.given]\nmold = 7\ndate = 2025-03-01\n")
	f.Add("x = [[{a.b = '''\n'''}, \"\\u202e\"]]")
	f.Fuzz(func(t *testing.T, text string) {
		m, err := Parse(text)
		if err != nil {
			require.NotEmpty(t, err.Error())
			return
		}
		if r := m.For("logs/a.csv", "Sheet1"); r != nil {
			r.Rename("A", "mold")
			r.Word("gut")
		}
		m.Unused()
	})
}
