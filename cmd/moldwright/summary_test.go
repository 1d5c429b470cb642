package main

import (
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"moldwright/pipeline"
	"moldwright/pipeline/advice"
	"moldwright/pipeline/ingest"
	"moldwright/pipeline/tables"
)

// busy is a result with more to say than ten lines hold.
func busy() pipeline.Result {
	res := pipeline.Result{Settings: pipeline.Defaults()}
	res.Log.AsOf = tables.MakeDate(2025, 11, 26)
	long := strings.Repeat("and then look at it once more ", 12)
	for i := range 6 {
		for _, reader := range []string{advice.ForPotter, advice.ForShelf, advice.ForInstructor} {
			res.Advice = append(res.Advice, advice.Item{
				For: reader, Urgent: i < 4, Finding: "at length", Do: fmt.Sprintf("Deed %d %s: %s", i, reader, long),
				Brief: fmt.Sprintf("%c%d-%s has an end", 'A'+i, i, reader[:3]),
			})
		}
	}
	for i := range 5 {
		res.NotGiven = append(res.NotGiven, advice.Missing{Answer: fmt.Sprintf("answer %d", i), Because: long, Add: long})
	}
	for range 12345 {
		res.Problems = append(res.Problems, tables.Problem{Severity: tables.SetAside})
	}
	res.Reading = ingest.Reading{Files: []ingest.File{{Name: "a.xlsx", Sheets: []ingest.Sheet{{RowsRead: 1_234_567, RowsUsed: 1_222_209, RowsAside: 12_345, RowsNoData: 13}}}}}
	return res
}

func told(res pipeline.Result, width int) []string {
	var b strings.Builder
	tell(&b, width, res, "out")
	return strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
}

// TestARunEndsInTenLines holds the promise at the usual width, whatever there is to say,
// and that what to do next stands first.
func TestARunEndsInTenLines(t *testing.T) {
	for _, res := range []pipeline.Result{busy(), {Settings: pipeline.Defaults()}} {
		lines := told(res, usualColumn)
		require.LessOrEqual(t, len(lines), 10, strings.Join(lines, "\n"))
		require.Contains(t, lines[len(lines)-1], "Wrote out")
	}
	lines := told(busy(), usualColumn)
	require.Equal(t, "What to do next, the first of 12 things that need action:", lines[0])
	text := strings.Join(lines, "\n")
	for _, first := range []string{"! A0-Cas has an end. Deed 0 Casting this week:", "! A0-The has an end.", "! A0-Pla has an end."} {
		require.Contains(t, text, first, "one for each reader")
	}
	require.Contains(t, text, "Not given: answer 0 and 4 more; the page says why")
	require.Contains(t, text, "13 no data; 12345 to mend.")
	require.Equal(t, "Nothing needs action now.", told(pipeline.Result{Settings: pipeline.Defaults()}, usualColumn)[0])
}

func TestAMoldIsToldOnce(t *testing.T) {
	all := []advice.Item{
		{For: advice.ForPotter, Urgent: true, Brief: "MUG-1 needs 25 min"}, {For: advice.ForShelf, Urgent: true, Brief: "MUG-1 has about 2 casts left"},
		{For: advice.ForShelf, Urgent: true, Brief: "MUG-7 is wearing out early"}, {For: advice.ForInstructor, Brief: "The term 2024 wasted much"},
		{For: advice.ForInstructor, Finding: "not for a terminal", Urgent: true},
	}
	var said []string
	for _, it := range pressing(all) {
		said = append(said, it.Brief)
	}
	require.Equal(t, []string{"MUG-1 needs 25 min", "MUG-7 is wearing out early", "The term 2024 wasted much"}, said)
	require.Empty(t, pressing(nil))
}

// TestNarrowTerminalsAreNotOverrun tries every width from that of a split screen up.
func TestNarrowTerminalsAreNotOverrun(t *testing.T) {
	for width := leastWidth; width <= 120; width += 7 {
		for _, line := range told(busy(), width) {
			require.LessOrEqual(t, utf8.RuneCountInString(line), width, line)
		}
		t.Setenv("COLUMNS", fmt.Sprint(width))
		code, out, errOut := moldwright(t, "check", smallLog(t, "a mold of "+strings.Repeat("very ", 30)+"long name", "b"))
		require.Equal(t, exitDone, code, errOut)
		for _, line := range strings.Split(out, "\n") {
			require.LessOrEqual(t, utf8.RuneCountInString(line), width, "%d columns: %q", width, line)
		}
	}
}

func TestWordsWiderThanTheTerminalAreCut(t *testing.T) {
	var b strings.Builder
	wrapped(&b, 10, "! ", "a "+strings.Repeat("x", 20)+" bc")
	require.Equal(t, "! a\n  xxxxxxxx\n  xxxxxxxx\n  xxxx bc\n", b.String())
}

func TestCheckBeginsWithATable(t *testing.T) {
	code, out, errOut := moldwright(t, "check", smallLog(t, "a", "b"))
	require.Equal(t, exitDone, code, errOut)
	require.True(t, strings.HasPrefix(out, `sheet          taken for     rows     used    aside  no data
log/casts.csv  casts           17       16        0        1
log/pours.csv  pours            3        2        0        1
all                            20       18        0        2
`), out)
}
