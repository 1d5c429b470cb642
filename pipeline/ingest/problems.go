package ingest

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"unicode/utf8"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/tables"
)

// Codes of the problems that reading can find.
const (
	// Files.
	CodeUnreadableFile   = "unreadable-file"   // a file could not be read at all
	CodeDuplicateFile    = "duplicate-file"    // a file is byte for byte the same as another, and read once
	CodeFormerRun        = "former-run"        // a folder of results of an earlier run is not read
	CodeEncodingInferred = "encoding-inferred" // a text file says nothing of its encoding; the old Western one was assumed
	CodeUnclosedQuote    = "unclosed-quote"    // a quotation mark in a text file is not closed in its row

	// Sheets.
	CodeSheetUnknown   = "sheet-not-recognised" // a sheet has content, but no table was found on it
	CodeHiddenSheet    = "hidden-sheet"         // a hidden sheet was read like the others
	CodeHiddenRows     = "hidden-rows"          // hidden or filtered rows were read like the others
	CodeSheetCutShort  = "sheet-cut-short"      // a sheet could be read only in part
	CodeTooManyColumns = "too-many-columns"     // columns beyond the limit are not read
	CodeMergedCells    = "merged-cells"         // cells merged downwards were read as their first one
	CodeNameFromSheet  = "name-from-sheet"      // the mold or the month was taken from the sheet's name or a line above the table
	CodeWideLayout     = "wide-layout"          // several records of a row, or one record a column, were read as rows
	CodeTotalRow       = "total-row"            // a row of totals or averages is no data
	CodeNotCast        = "not-cast"             // a line of a day sheet with nothing written into it
	CodeHeaderRepeated = "header-repeated"      // the header stands again further down
	CodeMappingUsed    = "mapping-used"         // a mapping file settled what the sheet's columns mean
	CodeMappingUnused  = "mapping-unused"       // an entry of the mapping file fits no sheet or no column

	// Columns; the cell is the one of the header.
	CodeColumnNotUsed     = "column-not-used"     // columns whose headers mean nothing to the table
	CodeColumnTwice       = "column-twice"        // a second column of the same meaning is not used
	CodeUnitMisfit        = "unit-does-not-fit"   // the unit in a header does not measure what the column holds
	CodeUnitAssumed       = "unit-assumed"        // plain numbers without a unit anywhere were read in the usual one
	CodePercentInferred   = "percent-inferred"    // plain numbers of a share were read as percent
	CodeDayFraction       = "day-fraction"        // numbers below one were read as times of day or durations of a spreadsheet
	CodeWaterByVolume     = "water-by-volume"     // water measured by volume was turned into kilograms
	CodeTimeFromDate      = "time-from-date"      // the time of day was taken from the date column
	CodeDateOrder         = "date-order"          // which of day and month comes first was worked out from the column
	CodeDateOrderBorrowed = "date-order-borrowed" // … from other columns of the file
	CodeDateOrderUnknown  = "date-order-unknown"  // it cannot be worked out: please say which
	CodeDateOrderMixed    = "date-order-mixed"    // the column holds both orders: please write the unclear ones out
	CodeWordRead          = "word-read-as"        // another word was read as one of the allowed ones
	CodeDittoRead         = "ditto-read"          // ditto marks were read as the value above them
	CodeHeaderGuessed     = "header-guessed"      // a misspelt header was taken for the column it is nearest to

	// Cells.
	CodeMissing         = "missing"            // a required cell is empty
	CodeNotCalculated   = "not-calculated"     // a formula has no value because no program has calculated it
	CodeErrorValue      = "error-value"        // the spreadsheet program shows an error in the cell
	CodeUnreadable      = "unreadable"         // the cell holds something else than the column asks for
	CodeOutOfRange      = "out-of-range"       // the value is beyond what is plausible
	CodeAmbiguousNumber = "ambiguous-number"   // 1,234 may be a thousand or one and a bit
	CodeAmbiguousDate   = "ambiguous-date"     // 3/4/2025 may be in March or in April
	CodeUnknownWord     = "unknown-word"       // the word is none of those allowed
	CodeCellTooLong     = "cell-too-long"      // the cell holds more text than a spreadsheet cell can
	CodeFutureDate      = "future-date"        // the date lies in the future
	CodeApproximate     = "approximate"        // ~6 was read as 6
	CodeNoteBehind      = "note-behind-number" // words behind a number were kept as a note
	CodeUnitDoubted     = "unit-doubted"       // the value would be plausible in another unit than the column's

	// Rows and the tables together.
	CodeDuplicateRow    = "duplicate-row"     // the same row stands in the files twice
	CodeDuplicateID     = "duplicate-id"      // a second, different row for the same mold, pour, slip or form
	CodeCastIDTwice     = "cast-id-twice"     // two different casts bear the same number
	CodeNoWall          = "no-wall"           // a cast has no wall: it ages its mold and is not in the wall fit
	CodeNoWallOnFaulty  = "no-wall-on-faulty" // a second or reject has no wall, which is common
	CodeMoldNotListed   = "mold-not-listed"   // a mold is used but not on the molds sheet
	CodePourNotListed   = "pour-not-listed"   // a pour is named but not on the pours sheet
	CodeSlipNotListed   = "slip-not-listed"   // a slip is named but not on the slips sheet
	CodeFormNotListed   = "form-not-listed"   // a form is named but not on the forms sheet
	CodeCastAfterEnd    = "cast-after-end"    // a cast is dated after its mold ended
	CodeCastBeforePour  = "cast-before-pour"  // a cast is dated before the pour that made its mold
	CodeEndConflict     = "end-conflict"      // a mold is in use and has an end, or ended before it was made
	CodePouredTwice     = "mold-poured-twice" // two pours that did not fail are said to have made one mold
	CodeSlipAfterCast   = "slip-after-cast"   // a slip is dated after a cast that used it
	CodeAgeConflict     = "age-conflict"      // the age written with a cast is not the number of the mold's casts before it
	CodeCastBeforeStart = "cast-before-start" // a cast is dated before its mold came into service
	CodeSpellingJoined  = "spelling-joined"   // two spellings of a name were taken for one
	CodeNameUnclear     = "name-unclear"      // a name could be either of several listed ones
	CodeOddConsistency  = "odd-consistency"   // water to plaster is far from any usual mix
)

// place is where a problem stands. Row 0 is the whole sheet, column -1 the
// whole row; sheet -1 is the whole file.
type place struct {
	file, sheet int // in the order of reading
	row, col    int
}

func (p place) cell() string {
	switch {
	case p.row <= 0:
		return ""
	case p.col < 0:
		return strconv.Itoa(p.row)
	}
	return grid.Letters(p.col) + strconv.Itoa(p.row)
}

// named is the place in a file that knows its columns: wall_1:12.
func (p place) named(names []string) string {
	switch {
	case p.col < 0 || p.col >= len(names):
		return p.cell()
	case p.row <= 0:
		return names[p.col]
	}
	return names[p.col] + ":" + strconv.Itoa(p.row)
}

// problems collects what is wrong and puts it in the order of the files.
type problems struct {
	all   []placed
	files []File           // to name the places
	times map[kind]int     // how often each kind came
	names map[int][]string // by file, of those that know their columns
}

type placed struct {
	place
	tables.Problem
}

// mostOfAKind is how many problems of one kind are listed of one file; the others
// are counted.
const mostOfAKind = 10_000

// kind is a kind of problem in one file.
type kind struct {
	file int
	code string
}

// count counts further problems of a kind of which more than are listed have come.
func (ps *problems) count(file int, code string, n int) { ps.times[kind{file, code}] += n }

// full reports whether no further problem of a kind is listed.
func (ps *problems) full(file int, code string) bool {
	return ps.times[kind{file, code}] >= mostOfAKind
}

// add records p at the place, naming file, sheet and cell.
func (ps *problems) add(at place, p tables.Problem) {
	if ps.times == nil {
		ps.times = map[kind]int{}
	}
	if ps.times[kind{at.file, p.Code}]++; ps.times[kind{at.file, p.Code}] > mostOfAKind {
		return
	}
	f := &ps.files[at.file]
	p.File = f.Name
	if at.sheet >= 0 && at.sheet < len(f.Sheets) {
		p.Sheet = f.Sheets[at.sheet].Name
	}
	p.Cell = at.cell()
	if names := ps.names[at.file]; names != nil && at.sheet >= 0 {
		p.Cell = at.named(names)
	}
	p.Value = shown(p.Value)
	ps.all = append(ps.all, placed{at, p})
}

// sorted gives the problems by file, sheet, row and column.
func (ps *problems) sorted() []tables.Problem {
	ps.tellMore()
	slices.SortStableFunc(ps.all, func(a, b placed) int {
		return cmp.Or(cmp.Compare(a.file, b.file), cmp.Compare(a.sheet, b.sheet), cmp.Compare(a.row, b.row), cmp.Compare(a.col, b.col))
	})
	out := make([]tables.Problem, len(ps.all))
	for i, p := range ps.all {
		out[i] = p.Problem
	}
	return out
}

// shown cuts a value to what a person needs to find it again.
func shown(s string) string {
	const most = 200
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	return string([]rune(s)[:most]) + "…"
}

// nameColumns has the columns of a file's one sheet named as the file does.
func (ps *problems) nameColumns(file int, s *grid.Sheet) {
	if ps.names == nil {
		ps.names = map[int][]string{}
	}
	names := make([]string, s.Width())
	for at := range names {
		names[at] = shown(s.Cell(0, at))
	}
	ps.names[file] = names
}

// tellMore says how many problems are not listed, of each kind that came too often.
func (ps *problems) tellMore() {
	last := map[kind]placed{}
	var order []kind
	for _, p := range ps.all {
		k := kind{p.file, p.Code}
		if ps.times[k] <= mostOfAKind {
			continue
		}
		if _, seen := last[k]; !seen {
			order = append(order, k)
		}
		last[k] = p
	}
	for _, k := range order {
		p := last[k]
		ps.all = append(ps.all, placed{place{k.file, -1, 0, -1}, tables.Problem{
			File: p.File, Code: k.code, Severity: p.Severity, Value: strconv.Itoa(ps.times[k] - mostOfAKind),
			Message: fmt.Sprintf("%d more problems of this kind stand in the file; only the first %d are listed", ps.times[k]-mostOfAKind, mostOfAKind),
			Mend:    p.Mend,
		}})
	}
}
