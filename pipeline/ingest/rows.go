package ingest

import (
	"hash/fnv"
	"slices"
	"strings"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// finding is a cell that could not be used, or that is worth a note.
type finding struct {
	decl     int // declared column
	at       int // column of the sheet, -1 for the whole row
	value    string
	severity string
	fault
}

// rowReader reads the rows of one block. Its record and findings are those of
// the row last read and are overwritten by the next.
type rowReader struct {
	b        *block
	known    [][]known // for each column of the block what its texts were read as, nil where hardly any comes twice
	once     known     // … of a text that is not kept
	unused   []int     // columns of the sheet that no declared column takes
	lists    []float64 // room for the readings of the rows to come
	formulas map[grid.CellAt]bool
	today    tables.Date // NoDate: dates in the future are not questioned
	record   []value
	findings []finding
	bases    []basis
	active   []int // declared columns that a row may have a value in
	timeFrom int   // index of the declared time column that dates may fill, -1 for none
}

func newRowReader(b *block, formulas map[grid.CellAt]bool, today tables.Date) *rowReader {
	r := &rowReader{b: b, formulas: formulas, today: today, record: make([]value, len(b.table.Columns)), bases: basesOf(b), timeFrom: -1}
	for i, c := range b.table.Columns {
		if c.Kind == tables.KindClock && len(b.byDecl[i]) == 0 {
			r.timeFrom = i
		}
	}
	for i := range r.record {
		r.record[i] = absent()
		isBasis := slices.ContainsFunc(r.bases, func(x basis) bool { return x.decl == i })
		if len(b.byDecl[i]) > 0 || b.given[i].has || i == r.timeFrom || isBasis {
			r.active = append(r.active, i)
		}
	}
	for at := range b.sheet.Width() {
		if !b.uses(at) && b.owns(at) {
			r.unused = append(r.unused, at)
		}
	}
	return r
}

// remember makes room for what the texts of the columns are read as.
func (r *rowReader) remember() {
	r.known = make([][]known, len(r.b.columns))
	for k, col := range r.b.columns {
		if col.used && r.b.sheet.Repeats(col.at) {
			r.known[k] = make([]known, r.b.sheet.Codes(col.at))
		}
	}
}

// known is what a text of a column was read as. Logs repeat themselves, so that
// reading each text once is most of the speed of reading.
type known struct {
	state state
	value value
	fault *fault
}

type state byte

const (
	notYet    state = iota
	isBlank         // an empty cell, or a sign for one
	isRead          // value holds
	isFaulty        // fault holds
	isSeveral       // readings parted by signs, to be read one by one
)

// look reads a cell of column k of the block, or remembers what it was read as.
func (r *rowReader) look(row grid.Row, k int, decl *tables.Column) *known {
	col := &r.b.columns[k]
	code := row.Code(col.at)
	e := &r.once
	if r.known[k] != nil {
		e = &r.known[k][code]
		if e.state != notYet {
			return e
		}
	}
	*e = known{}
	if v := r.b.sheet.Value(col.at, code); v.Kind != grid.IsText {
		if e.value, e.fault = r.b.readTyped(col, v, row); e.fault != nil && !e.value.has {
			e.state = isFaulty
		} else {
			e.state = isRead
		}
		return e
	}
	text := row.Cell(col.at)
	switch {
	case isNothing(text, decl.Kind):
		e.state = isBlank
	case decl.Kind == tables.KindLengths && len(readingsIn(text)) > 0:
		e.state = isSeveral
	default:
		if e.value, e.fault = r.b.read(col, text); e.fault != nil && !e.value.has {
			e.state = isFaulty
		} else {
			e.state = isRead
		}
	}
	return e
}

// read reads a row of the sheet into the record.
func (r *rowReader) read(row grid.Row) {
	r.findings = r.findings[:0]
	for _, i := range r.active {
		r.record[i] = absent()
	}
	for _, i := range r.active {
		decl := &r.b.table.Columns[i]
		switch {
		case len(r.b.byDecl[i]) == 0:
			if r.b.given[i].has {
				r.record[i] = r.b.given[i]
			}
		case decl.Kind == tables.KindLengths:
			r.readings(row, i, *decl)
		default:
			r.single(row, i, decl)
		}
	}
	r.setBases()
}

// single reads a column that has one cell a row.
func (r *rowReader) single(row grid.Row, i int, decl *tables.Column) {
	col := &r.b.columns[r.b.byDecl[i][0]]
	e := r.look(row, r.b.byDecl[i][0], decl)
	switch e.state {
	case isBlank:
		r.empty(row, i, *decl, col, row.Cell(col.at))
	case isFaulty:
		r.find(i, col.at, row.Cell(col.at), *decl, *e.fault)
	default:
		r.record[i] = e.value
		if e.fault != nil {
			r.remark(i, col.at, row.Cell(col.at), *e.fault)
		}
		if decl.Kind == tables.KindDate {
			r.afterDate(i, col, row, e.value)
		}
	}
}

// afterDate questions a day in the future, and takes the time that stands with
// a date where the table has a time of day and the sheet no column for it; programs
// write midnight behind dates that have none.
func (r *rowReader) afterDate(i int, col *column, row grid.Row, v value) {
	if r.today.Valid() && v.day > r.today && r.b.table.Columns[i].Name == "date" {
		r.findings = append(r.findings, finding{i, col.at, row.Cell(col.at), tables.Notice, fault{CodeFutureDate, "the date lies in the future", "correct the date if it is a slip of the pen"}})
	}
	if r.timeFrom < 0 || !tables.Has(v.num) || v.num == 0 || r.b.table.Columns[i].Name != "date" {
		return
	}
	r.record[r.timeFrom] = value{has: true, num: v.num, day: tables.NoDate}
	r.b.noteOnce(col.at, tables.Problem{
		Code: CodeTimeFromDate, Severity: tables.Notice, Value: col.header,
		Message: "the dates carry a time of day, which was taken for the time column", Mend: "nothing to do if that is right",
	})
}

// roomForReadings is how many readings of rows stand in one piece of memory.
const roomForReadings = 4096

// readings reads the columns of several readings of one length. One that
// cannot be read is left out if others of the row can.
func (r *rowReader) readings(row grid.Row, i int, decl tables.Column) {
	if cap(r.lists)-len(r.lists) < len(r.b.byDecl[i]) {
		r.lists = make([]float64, 0, roomForReadings) // rows hold on to the former ones
	}
	before, from := len(r.findings), len(r.lists)
	for _, k := range r.b.byDecl[i] {
		col := &r.b.columns[k]
		switch e := r.look(row, k, &decl); e.state {
		case isRead:
			r.lists = append(r.lists, e.value.num)
			if e.fault != nil {
				r.remark(i, col.at, row.Cell(col.at), *e.fault)
			}
		case isFaulty:
			r.find(i, col.at, row.Cell(col.at), decl, *e.fault)
		case isSeveral:
			r.eachReading(row.Cell(col.at), i, col, decl)
		}
	}
	nums := r.lists[from:len(r.lists):len(r.lists)]
	if len(nums) > 0 {
		r.record[i] = value{has: true, num: tables.Absent(), nums: nums, day: tables.NoDate}
		for k := before; k < len(r.findings); k++ {
			if r.findings[k].severity == tables.SetAside {
				r.findings[k].severity = tables.ValueIgnored
			}
		}
		return
	}
	if len(r.findings) == before {
		col := &r.b.columns[r.b.byDecl[i][0]]
		r.empty(row, i, decl, col, row.Cell(col.at))
	}
}

// eachReading reads the readings of one cell, however they are parted.
func (r *rowReader) eachReading(cell string, i int, col *column, decl tables.Column) {
	for _, text := range readingsIn(cell) {
		if text = quantity.Clean(text); isNothing(text, decl.Kind) {
			continue
		}
		v, f := r.b.read(col, text)
		switch {
		case f != nil && !v.has:
			r.find(i, col.at, text, decl, *f)
			continue
		case f != nil:
			r.remark(i, col.at, text, *f)
		}
		r.lists = append(r.lists, v.num)
	}
}

// readingsIn parts the text of a cell into its readings, parted by semicolons,
// bars, or commas between numbers.
func readingsIn(text string) []string {
	if several := quantity.Several(text, quantity.Length); several != nil || !strings.ContainsAny(text, ";|") {
		return several
	}
	return strings.FieldsFunc(text, func(c rune) bool { return c == ';' || c == '|' })
}

// remark notes something about a value that is used.
func (r *rowReader) remark(i, at int, text string, f fault) {
	r.findings = append(r.findings, finding{i, at, quantity.Tidy(text), tables.Notice, f})
}

// empty finds what is to be said of a cell without a value.
func (r *rowReader) empty(row grid.Row, i int, decl tables.Column, col *column, text string) {
	switch {
	case r.uncalculated(row, i):
		r.find(i, col.at, text, decl, fault{CodeNotCalculated, "the formula in the cell has no value, because no program has calculated it", "open the file in your spreadsheet program and save it again"})
	case decl.Required:
		r.find(i, col.at, text, decl, fault{CodeMissing, decl.Name + " is missing", "fill in " + decl.Name})
	}
}

func (r *rowReader) uncalculated(row grid.Row, i int) bool {
	return len(r.formulas) > 0 && slices.ContainsFunc(r.b.byDecl[i], func(k int) bool {
		return r.formulas[grid.CellAt{Row: row.Number(), Col: r.b.columns[k].at}]
	})
}

func (r *rowReader) find(i, at int, text string, decl tables.Column, f fault) {
	severity := tables.ValueIgnored
	if decl.Required {
		severity = tables.SetAside
	}
	r.findings = append(r.findings, finding{i, at, quantity.Tidy(text), severity, f})
}

// basis is a column that says what was weighed or measured.
type basis struct {
	decl, of int // declared columns: its own, and the one of which it tells
	text     string
}

// basesOf are the columns of a block that say what was weighed or measured.
func basesOf(b *block) (out []basis) {
	for i, decl := range b.table.Columns {
		name, ok := strings.CutSuffix(decl.Name, "_basis")
		if !ok || decl.Kind != "" {
			continue
		}
		of := slices.IndexFunc(b.table.Columns, func(c tables.Column) bool { return c.Name == name })
		if of < 0 {
			continue
		}
		text := b.bases[of]
		if text == "" && b.table.Columns[of].Kind == tables.KindLengths {
			text = tables.WallWet
		} else if text == "" {
			text = tables.AsWeighed
		}
		out = append(out, basis{i, of, text})
	}
	return out
}

// setBases fills the columns that say what was weighed or measured.
func (r *rowReader) setBases() {
	for _, x := range r.bases {
		if r.record[x.of].has {
			r.record[x.decl] = value{has: true, text: x.text, num: tables.Absent(), day: tables.NoDate}
		}
	}
}

// aside reports whether the row last read lacks something that it needs.
func (r *rowReader) aside() bool {
	return slices.ContainsFunc(r.findings, func(f finding) bool { return f.severity == tables.SetAside })
}

// extra is a hash of the row's cells that no declared column takes, with their
// headers, so that rows can be compared cell for cell; 0 where there are none.
func (r *rowReader) extra(row grid.Row) uint64 {
	var sum uint64
	for _, at := range r.unused {
		text := row.Cell(at)
		if text == "" {
			continue
		}
		header := ""
		if at < len(r.b.columns) {
			header = strings.ToLower(r.b.columns[at].header)
		}
		h := fnv.New64a()
		h.Write([]byte(header + "\x00" + text))
		sum += h.Sum64()
	}
	return sum
}
