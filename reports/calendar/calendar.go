// Package calendar writes the dates of a run plan as an iCalendar file (RFC 5545),
// which calendar programs take in: pour-by, ready, start and due days, each for the
// whole day. It formats what the plan worked out and computes nothing.
package calendar

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"strings"

	"moldwright/pipeline"
	"moldwright/pipeline/format"
	"moldwright/pipeline/plan"
	"moldwright/pipeline/tables"
)

// Has reports whether the plan has a date for a calendar. A calendar without
// one is no valid file (RFC 5545, section 3.6: at least one component).
func Has(res pipeline.Result) bool {
	for _, e := range res.Plan.Events {
		if e.Date.Valid() {
			return true
		}
	}
	return false
}

// Write writes the calendar. The same result gives the same bytes: the stamp of
// each event is the day that the report speaks of, not that of the clock. An event
// keeps its UID when a later plan moves its date, so that taking in the new file
// moves it in the calendar, too. The error is that of w.
func Write(w io.Writer, res pipeline.Result) error {
	var f file
	f.line("BEGIN", "VCALENDAR")
	f.line("VERSION", "2.0")
	f.line("PRODID", "-//Moldwright//Run plan//EN")
	f.line("CALSCALE", "GREGORIAN")
	seen := map[string]int{}
	for _, e := range res.Plan.Events {
		if e.Date.Valid() {
			f.event(e, res, seen)
		}
	}
	f.line("END", "VCALENDAR")
	if _, err := io.WriteString(w, f.text.String()); err != nil {
		return fmt.Errorf("writing the calendar: %w", err)
	}
	return nil
}

// event writes one event. Seen counts the events of one identity.
func (f *file) event(e plan.Event, res pipeline.Result, seen map[string]int) {
	f.line("BEGIN", "VEVENT")
	f.line("UID", uid(e, res, seen))
	f.line("DTSTAMP", stamp(res).Time().Format("20060102T150405Z"))
	f.line("DTSTART;VALUE=DATE", e.Date.Time().Format("20060102"))
	f.line("DTEND;VALUE=DATE", (e.Date + 1).Time().Format("20060102")) // the first day after it
	f.line("SUMMARY", escaped(summary(e)))
	if text := description(e, res); text != "" {
		f.line("DESCRIPTION", escaped(text))
	}
	f.line("CATEGORIES", escaped(e.What))
	f.line("TRANSP", "TRANSPARENT") // does not make the day look taken
	f.line("END", "VEVENT")
}

// stamp is the day that the plan starts from.
func stamp(res pipeline.Result) tables.Date {
	for _, d := range []tables.Date{res.Settings.AsOf, res.Log.AsOf, res.Plan.From} {
		if d.Valid() && d != 0 {
			return d
		}
	}
	return res.Plan.Events[0].Date
}

// uid tells an event apart from all others by what it is about: the kind of
// event, form and kind of mold, and the pieces and due day of its order. Names
// from the spreadsheets don't show in it.
func uid(e plan.Event, res pipeline.Result, seen map[string]int) string {
	about := []string{e.What, strings.ToLower(e.Form), e.Kind}
	if o, ok := orderOf(e, res); ok {
		about = append(about, fmt.Sprint(o.Pieces), o.Due.String())
	}
	key := strings.Join(about, "\x00")
	seen[key]++
	sum := sha256.Sum256(fmt.Appendf(nil, "%s\x00%d", key, seen[key]))
	return hex.EncodeToString(sum[:12]) + "@moldwright"
}

func orderOf(e plan.Event, res pipeline.Result) (tables.PlanOrder, bool) {
	for i, o := range res.Plan.Orders {
		if e.Order > 0 && (int(o.Order) == e.Order || o.Order == tables.NoCount && i+1 == e.Order) {
			return o, true
		}
	}
	return tables.PlanOrder{}, false
}

func summary(e plan.Event) string {
	text := e.Text
	if text == "" {
		text = e.What + " " + e.Form
	}
	return strings.Join(strings.Fields(text), " ") // a title stands on one line
}

// description says what a person needs to know on that day.
func description(e plan.Event, res pipeline.Result) string {
	var lines []string
	add := func(format string, args ...any) { lines = append(lines, fmt.Sprintf(format, args...)) }
	if o, ok := orderOf(e, res); ok {
		add("Order %d: %s of %s by %s.", e.Order, format.Pieces(int(o.Pieces)), o.Form, res.Settings.Days.Day(o.Due))
		if tables.Has(o.ChanceOnTime) && (e.What == plan.EventStart || e.What == plan.EventDue) {
			add("Chance on time with the molds in hand, as of %s: %s.", res.Settings.Days.Day(stamp(res)), format.Chance(o.ChanceOnTime))
		}
		if tables.Has(o.ChanceWithNew) && o.NewMolds > 0 && e.What == plan.EventDue {
			add("With %d new: %s.", o.NewMolds, format.Chance(o.ChanceWithNew))
		}
	}
	if e.What == plan.EventPour {
		for _, m := range res.Plan.Mix {
			if m.Form == e.Form && m.Kind == e.Kind && tables.Has(m.PlasterEach) {
				add("Mix for each mold: %s of plaster, %s of water.", res.Settings.Units.Mass(m.PlasterEach), res.Settings.Units.Mass(m.WaterEach))
			}
		}
		add("Plaster dust harms lungs: extraction or a fitted respirator. Setting plaster burns: no hand in it. No plaster in drains.")
	}
	return strings.Join(lines, "\n")
}
