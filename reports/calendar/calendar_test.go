package calendar

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	ics "github.com/arran4/golang-ical"
	"github.com/stretchr/testify/require"

	"moldwright/pipeline"
	"moldwright/pipeline/plan"
)

func written(t *testing.T, res pipeline.Result) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Write(&b, res))
	if dir := os.Getenv("MOLDWRIGHT_LOOK"); dir != "" { // for other programs, such as testdata/calendar/check.mjs
		require.NoError(t, os.WriteFile(filepath.Join(dir, t.Name()+".ics"), b.Bytes(), 0o644))
	}
	return b.String()
}

// The parser is github.com/arran4/golang-ical, which shares no code with ours.
func TestAGeneralParserReadsBackWhatWasMeant(t *testing.T) {
	res := sample()
	cal, err := ics.ParseCalendar(strings.NewReader(written(t, res)))
	require.NoError(t, err)
	events := cal.Events()
	require.Len(t, events, 5, "an event without a day stays away")
	for i, e := range events {
		want := res.Plan.Events[i]
		start, err := e.GetAllDayStartAt()
		require.NoError(t, err)
		end, err := e.GetAllDayEndAt()
		require.NoError(t, err)
		require.Equal(t, want.Date.Time().Format(time.DateOnly), start.Format(time.DateOnly))
		require.Equal(t, 24*time.Hour, end.Sub(start), "the end is the first day after")
		require.Equal(t, summary(want), ics.FromText(e.GetProperty(ics.ComponentPropertySummary).Value))
		stamp, err := e.GetDtStampTime()
		require.NoError(t, err)
		require.Equal(t, res.Log.AsOf.Time(), stamp.UTC(), "the stamp comes from the inputs")
	}
	first := ics.FromText(events[0].GetProperty(ics.ComponentPropertyDescription).Value)
	require.Contains(t, first, "Mix for each mold: 3.3 kg of plaster, 2.3 kg of water.")
	require.Contains(t, first, "respirator")
	require.Contains(t, ics.FromText(events[3].GetProperty(ics.ComponentPropertyDescription).Value), "as of 2025-12-30: 83 %")
	require.Contains(t, ics.FromText(events[4].GetProperty(ics.ComponentPropertyDescription).Value), "1 piece of mug")
}

// RFC 5545, section 3.1: lines end with CR LF, hold at most 75 octets, and are
// UTF-8; section 3.6.1: each event has a UID and a DTSTAMP.
func TestLinesKeepTheRules(t *testing.T) {
	text := written(t, sample())
	require.True(t, strings.HasPrefix(text, "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:"))
	require.True(t, strings.HasSuffix(text, "\r\nEND:VCALENDAR\r\n"))
	require.NotContains(t, strings.ReplaceAll(text, "\r\n", ""), "\r")
	require.NotContains(t, strings.ReplaceAll(text, "\r\n", ""), "\n")
	for _, l := range strings.Split(strings.TrimSuffix(text, "\r\n"), "\r\n") {
		require.LessOrEqual(t, len(l), 75, l)
		require.True(t, utf8.ValidString(l), "%q", l)
		require.NotEmpty(t, strings.TrimPrefix(l, " "))
	}
	require.Equal(t, strings.Count(text, "BEGIN:VEVENT"), strings.Count(text, "\r\nUID:"))
	require.Equal(t, strings.Count(text, "BEGIN:VEVENT"), strings.Count(text, "\r\nDTSTAMP:"))
}

func TestEveryLengthIsFoldedWithoutSplittingALetter(t *testing.T) {
	for n := range 200 {
		for _, letter := range []string{"a", "ö", "鉢", "🏺", "\\"} {
			var f file
			value := strings.Repeat(letter, n)
			f.line("SUMMARY", value)
			for _, l := range strings.Split(f.text.String(), "\r\n") {
				require.LessOrEqual(t, len(l), 75)
				require.True(t, utf8.ValidString(l))
			}
			require.Equal(t, "SUMMARY:"+value+"\r\n", strings.ReplaceAll(f.text.String(), "\r\n ", ""))
		}
	}
}

func TestAnEventKeepsItsUIDWhenItsDateMoves(t *testing.T) {
	uids := func(res pipeline.Result) []string {
		cal, err := ics.ParseCalendar(strings.NewReader(written(t, res)))
		require.NoError(t, err)
		var out []string
		for _, e := range cal.Events() {
			out = append(out, e.Id())
		}
		return out
	}
	before := uids(sample())
	moved := sample()
	moved.Log.AsOf += 3
	for i := range moved.Plan.Events {
		if moved.Plan.Events[i].Date.Valid() {
			moved.Plan.Events[i].Date += 3
		}
	}
	require.Equal(t, before, uids(moved))

	twice := sample()
	twice.Plan.Events = append(twice.Plan.Events, twice.Plan.Events[0])
	seen := map[string]bool{}
	for _, id := range uids(twice) {
		require.False(t, seen[id], "two events of one kind have UIDs of their own")
		seen[id] = true
	}
}

func TestWithoutDatesThereIsNoCalendar(t *testing.T) {
	require.True(t, Has(sample()))
	require.False(t, Has(pipeline.Result{}))
	res := pipeline.Result{}
	res.Plan.Events = []plan.Event{sample().Plan.Events[5]}
	require.False(t, Has(res))
}

func TestAWriterThatFails(t *testing.T) {
	require.ErrorContains(t, Write(failing{}, sample()), "disk full")
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("disk full") }
