package tables

import "strconv"

// Origin tells where a row was read: a block of a spreadsheet and a row of its
// sheet, counted from 1 as spreadsheet programs do. The zero Origin stands for
// a row that was not read from a file.
type Origin struct {
	Block int32 // index in Blocks
	Row   int32
}

// Known reports whether the row came from a file.
func (o Origin) Known() bool { return o.Row > 0 }

// Block is one table found on a sheet: where it stands and which of its
// columns became which declared column.
type Block struct {
	File      string
	Sheet     string // "" for CSV files
	Table     string // name of the input table
	HeaderRow int
	Columns   []BlockColumn
	// Turned says that the table stands on its side: the row of an Origin is then
	// a column of the sheet, counted from 1, and the letter of a column the number
	// of its row.
	Turned bool
	// Named says that the file knows its columns by name, so that a cell is named
	// by column and row: wall_1:12.
	Named bool
}

// BlockColumn is one column of a block.
type BlockColumn struct {
	Letter string // spreadsheet column, "F"
	Header string // as read
	Column string // declared column, "" where the column is not used
	Unit   string // unit taken from the header, "" where none stands there
}

// Blocks is the register that origins point into.
type Blocks []Block

// Place returns file, sheet and cell of a declared column in the row, for
// example "log.xlsx", "Casts", "F12". Where the block has no such column the
// cell is the row's number alone.
func (b Blocks) Place(o Origin, column string) (file, sheet, cell string) {
	if !o.Known() || int(o.Block) >= len(b) {
		return "", "", ""
	}
	blk := b[o.Block]
	row := strconv.Itoa(int(o.Row))
	if blk.Turned {
		row = letters(int(o.Row))
	}
	for _, c := range blk.Columns {
		switch {
		case c.Column != column || column == "":
		case blk.Turned:
			return blk.File, blk.Sheet, row + c.Letter
		case blk.Named:
			return blk.File, blk.Sheet, c.Header + ":" + row
		default:
			return blk.File, blk.Sheet, c.Letter + row
		}
	}
	if blk.Turned && blk.HeaderRow > 0 {
		return blk.File, blk.Sheet, row + strconv.Itoa(blk.HeaderRow)
	}
	return blk.File, blk.Sheet, row
}

// Sheet returns file and sheet of the row, as Place does.
func (b Blocks) Sheet(o Origin) (file, sheet string) {
	if !o.Known() || int(o.Block) >= len(b) {
		return "", ""
	}
	return b[o.Block].File, b[o.Block].Sheet
}

// letters is the name of a spreadsheet's column, the first being 1.
func letters(n int) string {
	if n <= 0 {
		return ""
	}
	return letters((n-1)/26) + string(rune('A'+(n-1)%26))
}
