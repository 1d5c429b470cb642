package ingest

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// fault is why a cell could not be used.
type fault struct {
	code, message, mend string
}

// value is what a cell, or several of one column, came to. Which field counts
// depends on the column's kind; the zero-like value of absent is none.
type value struct {
	has  bool
	text string
	num  float64
	nums []float64
	day  tables.Date
}

func absent() value { return value{num: tables.Absent(), day: tables.NoDate} }

// nothingWords are what people write into a cell to leave it empty.
var nothingWords = []string{"-", "--", "–", "—", "?", "??", "???", "n/a", "na", "n.a.", "n. a.", "n.a", "k. a.", "k.a.", "#n/a n/a", "none", "tbd", "unknown"}

// isNothing reports whether a cell of that kind counts as empty.
func isNothing(text, kind string) bool {
	if text == "" {
		return true
	}
	if kind == tables.KindText || len(text) > 8 || text[0] >= '0' && text[0] <= '9' {
		return false
	}
	return slices.Contains(nothingWords, strings.ToLower(text))
}

// spreadsheet errors, as they are stored in a cell.
func isErrorValue(text string) bool {
	if text[0] != '#' || len(text) > 14 {
		return false
	}
	switch strings.ToUpper(text) {
	case "#N/A", "#DIV/0!", "#REF!", "#VALUE!", "#NAME?", "#NUM!", "#NULL!", "#SPILL!", "#CALC!", "#GETTING_DATA":
		return true
	}
	return false
}

// read reads one cell with content. The fault is nil where all is well; beside
// a value that is there it is no more than a notice.
func (b *block) read(col *column, text string) (value, *fault) {
	decl := b.table.Columns[col.match.column]
	v := absent()
	switch {
	case isErrorValue(text):
		return v, &fault{CodeErrorValue, fmt.Sprintf("the spreadsheet shows the error %s here", text), "mend the formula in the cell"}
	case grid.TooLong(text):
		return v, &fault{CodeCellTooLong, fmt.Sprintf("the cell holds more than %d characters", grid.MaxCellText), "shorten the text; if it swallowed other rows, close its quotation mark"}
	}
	v.has = true
	switch decl.Kind {
	case tables.KindID:
		v.text = quantity.Identifier(text)
		return v, nil
	case tables.KindText:
		v.text = quantity.Tidy(text)
		return v, nil
	case tables.KindChoice:
		return b.readChoice(col, decl, text)
	case tables.KindDate:
		return b.readDate(col, text)
	case tables.KindClock:
		return b.readClock(decl, col, text)
	}
	return b.readNumber(col, decl, text)
}

func (b *block) readChoice(col *column, decl tables.Column, text string) (value, *fault) {
	if v, known := col.words[text]; known {
		return v, nil
	}
	v := absent()
	word := strings.Join(fold(text), " ")
	for _, choice := range decl.Choices {
		if word == strings.Join(fold(choice), " ") {
			v.text, v.has = choice, true
			col.remember(text, v)
			return v, nil
		}
	}
	choice, ok := choiceWords()[decl.Name+"|"+word]
	if !ok {
		return v, &fault{CodeUnknownWord, fmt.Sprintf("%s knows no such word", decl.Name), "write one of: " + strings.Join(decl.Choices, ", ")}
	}
	v.text, v.has = choice, true
	col.remember(text, v)
	b.noteOnce(col.at, tables.Problem{
		Code: CodeWordRead, Severity: tables.Notice, Value: text,
		Message: fmt.Sprintf("“%s” was read as “%s”", shown(text), choice), Mend: "nothing to do if that is what was meant",
	})
	return v, nil
}

func (col *column) remember(word string, v value) {
	if col.words == nil {
		col.words = map[string]value{}
	}
	col.words[word] = v
}

// noteOnce tells something about a column once, however many cells show it.
func (b *block) noteOnce(at int, p tables.Problem) {
	for _, n := range b.notes {
		if n.at == at && n.Code == p.Code && strings.EqualFold(n.Value, p.Value) {
			return
		}
	}
	b.notes = append(b.notes, note{at, p})
}

func (b *block) readDate(col *column, text string) (value, *fault) {
	v := absent()
	text, completed := b.month.complete(text)
	if completed {
		b.noteMonth(col)
	}
	d, err := quantity.ParseDay(text, quantity.Calendar{Date1904: b.sheet.Date1904, Order: col.habit.order})
	switch {
	case err == quantity.ErrAmbiguous:
		return v, &fault{CodeAmbiguousDate, "the date cannot be read: day or month may come first", "write it as 2025-03-14; see the note at the column's header"}
	case err != nil:
		return v, &fault{CodeUnreadable, "this is no date that can be read", "write the date as 2025-03-14"}
	case d.Date < earliestDay || d.Date > latestDay:
		return v, &fault{CodeOutOfRange, fmt.Sprintf("the date is read as %s, which is not plausible", d.Date), "correct the date"}
	}
	v.day, v.num, v.has = d.Date, d.Minutes, true
	return v, nil
}

func (b *block) readClock(decl tables.Column, col *column, text string) (value, *fault) {
	v := absent()
	minutes, fraction, err := quantity.ParseClock(text)
	if err != nil || !limitOf(b.table.Name, decl.Name).holds(minutes) {
		return v, &fault{CodeUnreadable, "this is no time of day that can be read", "write it as " + quantity.Clock.Examples()}
	}
	if fraction && b.sheet.Text {
		b.noteOnce(col.at, fractionNote(col.header, "times of day"))
	}
	v.num, v.has = minutes, true
	return v, nil
}

func fractionNote(header, what string) tables.Problem {
	return tables.Problem{
		Code: CodeDayFraction, Severity: tables.Notice, Value: header,
		Message: "numbers of the column are fractions of a day, as spreadsheets store times, and were read as " + what,
		Mend:    "nothing to do if that is what was meant",
	}
}

// readNumber reads a number with or without a unit into the column's unit and
// checks that it is plausible.
func (b *block) readNumber(col *column, decl tables.Column, text string) (value, *fault) {
	dim, def := quantity.DimensionOf(decl), quantity.Standing(decl)
	if col.match.unit.Given() {
		def = col.match.unit
	}
	dims := []quantity.Dimension{dim}
	if _, wet := quantity.Fluids[decl.Name]; wet && dim == quantity.Mass {
		dims = append(dims, quantity.Volume)
	}
	if dim == quantity.PureNumber {
		text = strings.Trim(text, " $£€¥")
	}
	if decl.Kind == tables.KindCount {
		text = quantity.WholeNumber(text)
	}
	q, err := quantity.Parse(text, def, col.habit.mark, dims...)
	if err != nil {
		return absent(), numberFault(err, decl)
	}
	return b.settleNumber(col, decl, q)
}

// settleNumber brings a number into the column's unit and checks that it is
// plausible.
func (b *block) settleNumber(col *column, decl tables.Column, q quantity.Quantity) (value, *fault) {
	v := absent()
	dim, keep := quantity.DimensionOf(decl), quantity.Standing(decl)
	def := keep
	if col.match.unit.Given() {
		def = col.match.unit
	}
	base := q.Base
	if q.By == quantity.Volume && dim == quantity.Mass {
		base *= quantity.Fluids[decl.Name]
		b.noteOnce(col.at, waterNote(col.header))
	}
	switch {
	case dim != quantity.Share || !q.Plain:
	case col.habit.percent:
		base /= 100
	case col.habit.parts || col.habit.stored == grid.AsPercent:
		base = q.Written
	}
	x := (base - keep.Offset) / keep.Scale
	if x != q.Written {
		x = quantity.Significant(x)
	}
	limit := limitOf(b.table.Name, decl.Name)
	known := col.habit.stored == grid.AsTime
	minutes, fraction := dayFraction(q, x, keep, limit, known, def.Pattern == quantity.HoursMinutes)
	if fraction {
		x = minutes / keep.Scale
	}
	if decl.Kind == tables.KindCount && (x != math.Trunc(x) || math.Abs(x) > math.MaxInt32-1) {
		return v, &fault{CodeUnreadable, fmt.Sprintf("%s is a whole number", decl.Name), "write a whole number"}
	}
	switch f := apart(decl, limit, col.habit.middle, x, q.Written); {
	case col.habit.doubt != "" && q.Plain:
		return v, doubted(decl, col.habit.doubt)
	case f != nil && limit.holds(x) && q.Plain:
		return v, f
	}
	if !limit.holds(x) {
		f := beyond(decl, limit, col.habit.middle, x, q.Written)
		if fraction {
			f.mend = "write it as 0:25, or write (min) in the header if plain numbers are minutes"
		}
		return v, f
	}
	if fraction && !known && col.habit.stored != grid.AsSomeTimes {
		b.noteOnce(col.at, fractionNote(col.header, "lengths of time"))
	}
	v.num, v.has = x, true
	return v, b.loosely(col, decl, q)
}

// loosely says what else stood with a number: once for the column that some are
// approximate, and for each cell its note.
func (b *block) loosely(col *column, decl tables.Column, q quantity.Quantity) *fault {
	if q.Approximate {
		b.noteOnce(col.at, tables.Problem{
			Code: CodeApproximate, Severity: tables.Notice, Value: col.header,
			Message: fmt.Sprintf("some values of %s are approximate (~6, 6?, 5-6); they were read as the number that stands there, ranges as their middle", decl.Name),
			Mend:    "nothing to do; an exact value is better where there is one",
		})
		return nil
	}
	if q.Note == "" {
		return nil
	}
	return &fault{CodeNoteBehind, fmt.Sprintf("only the number was read; “%s” beside it was taken for a note", shown(q.Note)), "nothing to do, or write it into the note column"}
}

// dayFraction reads a plain number of a column of durations as a fraction of a
// day, as spreadsheets store 0:22, where that is known from the format of the
// cells or the header, or where the number would otherwise be too small to be
// believed. A 20 that was typed among cells with a format of times is no 20 days: it
// is read as it stands where only that can be believed.
func dayFraction(q quantity.Quantity, x float64, keep quantity.Unit, l limit, byFormat, byHeader bool) (minutes float64, ok bool) {
	if keep.Dim != quantity.Duration || !q.Plain || q.Written <= 0 {
		return 0, false
	}
	minutes = quantity.ToMinute(q.Written * 1440)
	if byFormat && !byHeader && !l.holds(minutes/keep.Scale) && l.holds(x) {
		return 0, false
	}
	return minutes, byFormat || byHeader || q.Written < 1 && x < l.low && l.holds(minutes/keep.Scale)
}

func numberFault(err error, decl tables.Column) *fault {
	dim := quantity.DimensionOf(decl)
	switch {
	case errors.Is(err, quantity.ErrAmbiguous):
		return &fault{CodeAmbiguousNumber, "the comma or point may part thousands or decimals", "write the number without thousands marks and with a decimal point"}
	case errors.Is(err, quantity.ErrBound):
		return &fault{CodeUnreadable, fmt.Sprintf("%s: this bounds the value and does not give it", decl.Name), "write the value itself, ~6 if it is only about right"}
	case errors.Is(err, quantity.ErrWrongUnit):
		return &fault{CodeUnreadable, fmt.Sprintf("%s: %s is %s, not %s", decl.Name, unitIn(err), foreignMeasure(unitIn(err)), dim.Measured()), "write it as " + dim.Examples()}
	}
	return &fault{CodeUnreadable, fmt.Sprintf("%s: this is not %s that can be read", decl.Name, dim.Measured()), "write it as " + dim.Examples()}
}

func unitIn(err error) string {
	return strings.TrimPrefix(err.Error(), quantity.ErrWrongUnit.Error()+": ")
}

func foreignMeasure(name string) string {
	u, _ := quantity.LookAnyUnit(name)
	return u.Dim.Measured()
}
