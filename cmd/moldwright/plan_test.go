package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"
	"github.com/stretchr/testify/require"

	"moldwright/pipeline/ingest"
	"moldwright/pipeline/plan"
	"moldwright/pipeline/tables"
	"moldwright/reports/runrecord"
)

func TestAPlanFolderAppearsWholeAndTheSameTwice(t *testing.T) {
	studio, dir := demoStudio(t), t.TempDir()
	one, two := filepath.Join(dir, "one"), filepath.Join(dir, "two")
	code, out, errOut := moldwright(t, "plan", "-o", one, "--draws", "400", studio)
	require.Equal(t, exitDone, code, errOut)
	lines := strings.Split(strings.TrimSpace(out), "\n")
	require.LessOrEqual(t, len(lines), 10)
	require.Contains(t, out, "bowl: 40 pieces by 2026-02-19. Cast by the day sheet. On time ")
	require.Contains(t, out, "! bottle: 80 pieces by 2026-03-19.")
	require.Contains(t, out, "new molds by ")
	require.Contains(t, lines[len(lines)-1], "plan.xlsx")

	us := filepath.Join(dir, "us")
	code, out, errOut = moldwright(t, "plan", "-o", us, "--draws", "400", "--units", "us", "--write-dates", "month-day", studio)
	require.Equal(t, exitDone, code, errOut)
	require.Contains(t, out, "bowl: 40 pieces by Feb 19, 2026. Cast by the day sheet. On time ")
	require.Regexp(t, ` lb of plaster, [\d.]+ lb of water `, out)
	require.NotRegexp(t, `\bkg\b|\d{4}-\d\d-\d\d`, out)
	inUS := files(t, us)
	require.Contains(t, string(inUS["plan.ics"]), "Feb 19\\, 2026")
	require.Contains(t, string(inUS["run.json"]), `"Units": "us"`)
	for name, data := range files(t, one) {
		if strings.HasPrefix(name, "tables/") {
			require.True(t, bytes.Equal(data, inUS[name]), "%s stays SI", name)
		}
	}

	code, out, _ = moldwright(t, "plan", "--json", "-o", two, "--draws", "400", studio)
	require.Equal(t, exitDone, code)
	var record runrecord.Record
	require.NoError(t, json.Unmarshal([]byte(out), &record))
	require.Equal(t, 400, record.Settings.Plan.Draws)
	a, b := files(t, one), files(t, two)
	require.Len(t, b, len(a))
	for name, data := range a {
		if name != "run.json" {
			require.True(t, bytes.Equal(data, b[name]), name)
		}
	}
	for _, name := range []string{"plan.xlsx", "plan.html", "plan.ics", "run.json", "charts/plan_chances.svg", "charts/plan_whatif.png", "tables/plan_orders.parquet", "tables/problems.csv"} {
		require.Contains(t, a, name)
	}
	for _, table := range []string{"plan_orders", "plan_days", "plan_mix", "plan_whatif", "plan_assumed"} {
		rows, err := csv.NewReader(bytes.NewReader(a["tables/"+table+".csv"])).ReadAll()
		require.NoError(t, err, table)
		require.Greater(t, len(rows), 1, table)
	}
	require.NotContains(t, a, "tables/wall_fit.csv", "a plan folder holds the plan alone")
	cal, err := ics.ParseCalendar(bytes.NewReader(a["plan.ics"]))
	require.NoError(t, err)
	require.NotEmpty(t, cal.Events())
}

func TestOneOrderByOptions(t *testing.T) {
	out := filepath.Join(t.TempDir(), "plan")
	code, text, errOut := moldwright(t, "plan", "-o", out, "--draws", "200", "--form", "Bowl", "--pieces", "9", "--due", "19 Feb 2026", demoStudio(t))
	require.Equal(t, exitDone, code, errOut)
	require.Contains(t, text, "bowl: 9 pieces by 2026-02-19. Cast by the day sheet. On time very likely")
	require.NotContains(t, text, "bottle", "the orders of the spreadsheets are left aside")

	code, _, errOut = moldwright(t, "plan", "-o", out+"2", "--draws", "200", "--form", "teapot", "--pieces", "9", "--due", "2026-02-19", demoStudio(t))
	require.Equal(t, exitUsage, code)
	require.Contains(t, errOut, `no form is called "teapot"`)
	require.NoDirExists(t, out+"2")
}

func TestWithoutAnOrderNothingIsWritten(t *testing.T) {
	studio := t.TempDir()
	data, err := os.ReadFile(filepath.Join(demoStudio(t), "casts_2025.csv"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(studio, "casts.csv"), data, 0o644))
	out := filepath.Join(t.TempDir(), "plan")
	code, _, errOut := moldwright(t, "plan", "-o", out, studio)
	require.Equal(t, exitNothing, code)
	require.Contains(t, errOut, "orders sheet")
	require.NoDirExists(t, out)
}

func TestAPlanNeverReplacesAReport(t *testing.T) {
	out := t.TempDir()
	for _, name := range []string{"run.json", "report.xlsx"} {
		require.NoError(t, os.WriteFile(filepath.Join(out, name), []byte("{}"), 0o644))
	}
	code, _, errOut := moldwright(t, "plan", "-o", out, "--draws", "200", demoStudio(t))
	require.Equal(t, exitNotWritten, code)
	require.Contains(t, errOut, "report.xlsx, which a new plan would replace")
}

// read gives the settings that options make.
func read(t *testing.T, o planOptions) (plan.Settings, error) {
	t.Helper()
	return o.settings(plan.Defaults(), ingest.AskDateOrder)
}

func TestOptionsAreReadAsCellsAre(t *testing.T) {
	set, err := read(t, planOptions{
		form: " Bowl ", pieces: "60", due: "19 February 2026", start: "2026-01-12", target: "3/16 in",
		goal: "95 %", castsADay: "2", rest: "1:30", workingHours: "7,5 h", studioCasts: "12", workingDays: "mon-wed, sat",
		daysOff: []string{"2026-01-06", "2025-12-31..2026-01-02", "2026-01-01"}, kinds: "Split,one-piece", leadDays: "7", poursADay: "3", mostMolds: "8",
		labour: []string{"split=90 min", "one-piece=2 h"}, drying: "0.97", bisque: "95%", glaze: "93 %", daysAfter: "4", kilnPieces: "40", seconds: true, draws: "1000",
	})
	require.NoError(t, err)
	require.Len(t, set.Requests, 1)
	req := set.Requests[0]
	require.Equal(t, "Bowl", req.Form)
	require.Equal(t, 60, req.Pieces)
	require.Equal(t, []tables.Date{tables.MakeDate(2026, 1, 12), tables.MakeDate(2026, 2, 19)}, []tables.Date{req.Start, req.Due})
	require.InDelta(t, 4.7625, req.TargetMM, 1e-12)
	require.InDelta(t, 0.95, set.Goal, 1e-12)
	require.Equal(t, plan.Rhythm{
		CastsPerDay: 2, RestHours: 1.5, WorkHours: 7.5, StudioCasts: 12, WorkDays: []time.Weekday{time.Monday, time.Tuesday, time.Wednesday, time.Saturday},
		DaysOff: []tables.Date{tables.MakeDate(2025, 12, 31), tables.MakeDate(2026, 1, 1), tables.MakeDate(2026, 1, 2), tables.MakeDate(2026, 1, 6)},
	}, set.Rhythm)
	require.Equal(t, plan.Making{Kinds: []string{"split", "one-piece"}, LeadDays: 7, PoursPerDay: 3, MostMolds: 8, LabourHours: map[string]float64{"split": 1.5, "one-piece": 2}}, set.Making)
	require.InDeltaSlice(t, []float64{0.97, 0.95, 0.93}, []float64{set.Losses.Drying, set.Losses.Bisque, set.Losses.Glaze}, 1e-12)
	require.Equal(t, []int{4, 40}, []int{set.Losses.DaysAfterCasting, set.Losses.KilnPieces})
	require.True(t, set.Losses.SecondsCount)
	require.Equal(t, 1000, set.Draws)

	set, err = read(t, planOptions{workingDays: "fri-mon"})
	require.NoError(t, err)
	require.Equal(t, []time.Weekday{time.Sunday, time.Monday, time.Friday, time.Saturday}, set.Rhythm.WorkDays)
	require.Nil(t, set.Requests)
	require.Equal(t, plan.Defaults().Draws, set.Draws)
}

func TestEveryWrongValueSaysWhatToDo(t *testing.T) {
	order := func(change func(*planOptions)) planOptions {
		o := planOptions{form: "bowl", pieces: "9", due: "2026-02-19"}
		change(&o)
		return o
	}
	for want, o := range map[string]planOptions{
		"--pieces wants a whole number from 1":                 order(func(o *planOptions) { o.pieces = "0" }),
		`, not "a dozen"`:                                      order(func(o *planOptions) { o.pieces = "a dozen" }),
		"add --pieces and --due":                               {form: "bowl"},
		"add --form":                                           {pieces: "3", due: "2026-02-19"},
		"--due wants a day such as":                            order(func(o *planOptions) { o.due = "soon" }),
		`--due wants a day such as 2026-02-19, not "7"`:        order(func(o *planOptions) { o.due = "7" }),
		"--dates says which":                                   order(func(o *planOptions) { o.due = "3/4/2026" }),
		"--start lies after --due":                             order(func(o *planOptions) { o.start = "2026-03-01" }),
		"--target-wall wants a wall from 0.5 to 50 mm":         order(func(o *planOptions) { o.target = "5 kg" }),
		`not "5 m"`:                                            order(func(o *planOptions) { o.target = "5 m" }),
		"--goal wants a share from 50 % to 99 %":               {goal: "90"},
		"--casts-a-day wants a number from 0.1 to 24":          {castsADay: "many"},
		"--rest wants a length of time from 0 to 720 hours":    {rest: "2 mm"},
		"--working-hours wants a length of time from 0.5":      {workingHours: "30 h"},
		"--studio-casts-a-day wants a whole number":            {studioCasts: "-1"},
		"--working-days wants days of the week, such as":       {workingDays: "mo-fr"},
		"--day-off wants a day such as 2026-01-06, or a range": {daysOff: []string{"2026-01-02..2025-12-24"}},
		`of at most ten years, not "2025-01-01..2099-12-31"`:   {daysOff: []string{"2025-01-01..2099-12-31"}},
		"--kinds wants kinds of mold parted by commas":         {kinds: "rubber"},
		"--lead-days wants a whole number from 1 to 90":        {leadDays: "0"},
		"--pours-a-day wants a whole number":                   {poursADay: "1.5"},
		"--most-molds wants a whole number":                    {mostMolds: "1000"},
		"--labour wants a kind of mold and the work for one":   {labour: []string{"split"}},
		"--through-drying wants a share from 1 % to 100 %":     {drying: "95"},
		"--through-bisque wants":                               {bisque: "none"},
		"--through-glaze wants":                                {glaze: "-5%"},
		"--days-after-casting wants a whole number from 0":     {daysAfter: "x"},
		"--kiln-pieces wants a whole number from 1":            {kilnPieces: "0"},
		"--draws wants a whole number from 200 to 100000":      {draws: "1"},
	} {
		_, err := read(t, o)
		require.ErrorContains(t, err, want)
	}
	code, out, errOut := moldwright(t, "plan", "-o", "x", "--goal", "huge", ".")
	require.Equal(t, exitUsage, code)
	require.Empty(t, out)
	require.Contains(t, errOut, "--goal wants")
}
