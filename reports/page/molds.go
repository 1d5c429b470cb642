package page

import (
	"fmt"
	"strings"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// moldRow is all that the stages say about one mold.
type moldRow struct {
	name      string
	state     tables.MoldState
	remaining tables.RemainingCasts
	watch     tables.Watch
	hasState  bool
	hasLife   bool
	hasWatch  bool
}

// moldRows joins the answers by the mold's name, in the order of the log; molds
// that only an answer names follow in its order.
func moldRows(res pipeline.Result) []moldRow {
	var rows []moldRow
	index := map[string]int{}
	at := func(name string) *moldRow {
		i, ok := index[name]
		if !ok {
			i = len(rows)
			index[name] = i
			rows = append(rows, moldRow{name: name, state: tables.MoldState{
				Mold: name, AgeCasts: tables.NoCount, RateMM2PerMin: tables.Absent(), WearPerCast: tables.Absent(),
				WearLower95: tables.Absent(), WearUpper95: tables.Absent(), UsualDwellMin: tables.Absent(),
				NextWallMM: tables.Absent(), NextWallLower90: tables.Absent(), NextWallUpper90: tables.Absent(),
			}})
		}
		return &rows[i]
	}
	for _, m := range res.Log.Molds {
		s := &at(m.Mold).state
		s.Form, s.Kind, s.Status, s.AgeCasts = m.Form, m.Kind, m.Status, tables.Count(m.Age)
	}
	for _, s := range res.Wall.States {
		r := at(s.Mold)
		r.state, r.hasState = s, true
	}
	for _, l := range res.Life.Remaining {
		r := at(l.Mold)
		r.remaining, r.hasLife = l, true
		if r.state.Status == "" { // the life stage speaks of molds in service only
			r.state.Form, r.state.Kind, r.state.Status, r.state.AgeCasts = l.Form, l.Kind, history.StatusInUse, l.AgeCasts
		}
	}
	for _, w := range res.Watch.Molds {
		r := at(w.Mold)
		r.watch, r.hasWatch = w, true
	}
	return rows
}

func (r moldRow) inUse() bool {
	return r.state.Status == history.StatusInUse || r.state.Status == ""
}

func moldsSection(res pipeline.Result) section {
	s := section{ID: "molds", Title: "The molds today"}
	rows := moldRows(res)
	if len(rows) == 0 {
		return s.leftOut(res, res.Wall.WhyNot, "No mold is on file and no cast names one")
	}
	rate := res.Settings.Units.CastingRate().Name
	var using, ended []row
	var usingRanks, endedRanks []int
	for _, r := range rows {
		if r.inUse() {
			usingRanks = append(usingRanks, r.urgency())
			using = append(using, moldInUse(r, res.Settings.Units))
		} else {
			endedRanks = append(endedRanks, r.urgency())
			ended = append(ended, moldEnded(r, res.Settings.Units))
		}
	}
	s.text("%s in use, %s.", plural(len(using), "mold", "molds"), plural(len(ended), "retired or broken", "retired or broken"))
	if !res.Wall.Fitted && res.Wall.WhyNot != "" {
		s.text("Casting rate and wear are not given: %s", sentence(res.Wall.WhyNot))
	}
	if len(res.Life.Remaining) == 0 && res.Life.WhyNot != "" {
		s.text("Casts left are not given: %s", sentence(res.Life.WhyNot))
	}
	s.mostPressing(table{
		Caption: "Molds in use: how fast they cast, how they wear, how many casts are left",
		Head: append(append(words("Mold|form · kind"), numbers("Casts made", "Casting rate|k, "+rate, "Wear a cast|95 % interval",
			"Next wall|90 % interval, at the usual dwell", "Casts left|middle, 8 in 10 molds", "Chance of|5, 10, 20 more")...), words("Likely end", "Watch")...),
		Rows: using,
	}, usingRanks, "molds in use", "the sheet “Molds” of report.xlsx and in tables/mold_state.csv")
	s.small("Casts left: the middle forecast, with the range that eight molds in ten fall in. Wear: how much thinner the wall gets at one dwell with each cast; below zero the mold still improves.")
	s.mostPressing(table{
		Caption: "Molds retired or broken",
		Head:    append(append(words("Mold|form · kind", "Status"), numbers("Casts made", "Last casting rate|k, "+rate, "Wear a cast|95 % interval")...), words("Watch")...),
		Rows:    ended,
	}, endedRanks, "molds retired or broken", "the sheet “Molds” of report.xlsx and in tables/mold_state.csv")
	return s
}

// fewLeft is how many casts left, in the middle forecast, call for a successor.
const fewLeft = 5

// urgency ranks a mold: flagged, near its end, and all others.
func (r moldRow) urgency() int {
	switch {
	case r.hasWatch && r.watch.Flagged:
		return 0
	case r.hasLife && r.remaining.RemainingP50 <= fewLeft:
		return 1
	}
	return 2
}

func moldInUse(r moldRow, u format.Units) row {
	st := r.state
	life, chance, cause := of(dash), of(dash), of(dash)
	if l := r.remaining; r.hasLife {
		life = of(format.Casts(l.RemainingP50), format.Interval(format.Casts(l.RemainingP10), format.Casts(l.RemainingP90)))
		chance = of(fmt.Sprintf("%s, %s, %s", format.Percent(l.Survive5), format.Percent(l.Survive10), format.Percent(l.Survive20)))
		cause = of(l.LikelyCause)
	}
	out := row{Cells: []cell{
		of(r.name, makes(st)), of(count(st.AgeCasts)), of(number(u.Rate(st.RateMM2PerMin))), wear(st),
		of(u.Wall(st.NextWallMM), format.Interval(u.Wall(st.NextWallLower90), u.Wall(st.NextWallUpper90)),
			labelled("at ", format.Dwell(st.UsualDwellMin))),
		life, chance, cause, watched(r),
	}}
	if r.hasWatch && r.watch.Flagged {
		out.Class = "flagged"
	}
	return out
}

func moldEnded(r moldRow, u format.Units) row {
	st := r.state
	return row{Cells: []cell{
		of(r.name, makes(st)), of(st.Status), of(count(st.AgeCasts)), of(number(u.Rate(st.RateMM2PerMin))), wear(st), watched(r),
	}}
}

// makes says what the mold makes and of what kind it is, where that is known.
func makes(st tables.MoldState) string {
	kind := st.Kind
	if kind == history.UnknownKind {
		kind = ""
	}
	return joined(st.Form, kind)
}

func wear(st tables.MoldState) cell {
	return of(format.Wear(st.WearPerCast), format.Interval(format.Wear(st.WearLower95), format.Wear(st.WearUpper95)))
}

func watched(r moldRow) cell {
	switch {
	case !r.hasWatch:
		return of(dash)
	case r.watch.Flagged:
		return of("Wearing early", labelled("since age ", count(r.watch.SinceAgeCasts)), firstWords(r.watch.DoNext))
	}
	return of("No sign")
}

// firstWords are those of an advice up to its first stop.
func firstWords(advice string) string {
	if i := strings.IndexAny(advice, ":;,"); i > 0 {
		return advice[:i]
	}
	return advice
}
