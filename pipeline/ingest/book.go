package ingest

import (
	"context"
	"fmt"
	"strings"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/tables"
)

// book reads the tables on all sheets of a file.
func (r *reader) book(ctx context.Context, file int, b grid.Book) error {
	var blocks []*block
	var looks []grid.SecondLook
	for i, s := range b.Sheets {
		found, why := recognise(s)
		r.problems.files[file].Sheets = append(r.problems.files[file].Sheets, describe(s, found, why))
		a := newAccount(file, i, s)
		r.sheets = append(r.sheets, a)
		r.tellSheet(place{file, i, 0, -1}, s, found, why)
		a.titles(found)
		if len(found) == 0 {
			continue
		}
		look := s.Parts.Look()
		for _, blk := range found {
			blk.place = place{file, i, s.Number(blk.header), -1}
			blk.index = int32(len(r.blocks))
			r.blocks = append(r.blocks, blk.register(r.problems.files[file].Name, s.Name))
			r.accounts.blocks = append(r.accounts.blocks, blk)
			r.accounts.byBlock = append(r.accounts.byBlock, a)
			if n := blk.fillMerged(look.Merged); n > 0 {
				blk.notes = append(blk.notes, note{-1, mergedNote(n)})
			}
			blk.survey()
			blocks, looks = append(blocks, blk), append(looks, look)
		}
	}
	settleDates(blocks, r.opt.DateOrder.order())
	for i, blk := range blocks {
		if err := r.block(ctx, blk, looks[i]); err != nil {
			return err
		}
		for _, n := range blk.notes {
			at := blk.place
			at.col = n.at
			r.problems.add(at, n.Problem)
		}
		blk.sheet = nil // its cells are not needed any more
	}
	return nil
}

// describe is the sheet's entry in the account of the reading.
func describe(s *grid.Sheet, found []*block, why string) Sheet {
	out := Sheet{Name: s.Name, Hidden: s.Hidden, Why: why}
	var names []string
	for _, b := range found {
		names = append(names, b.table.Name)
	}
	out.Table = strings.Join(names, ", ")
	if len(found) > 0 {
		out.HeaderRow = s.Number(found[0].header)
		out.Columns = found[0].register("", "").Columns
	}
	return out
}

// tellSheet reports what is to be said about a sheet as a whole.
func (r *reader) tellSheet(at place, s *grid.Sheet, found []*block, why string) {
	tell := func(code, severity, message, mend string) {
		r.problems.add(at, tables.Problem{Code: code, Severity: severity, Message: message, Mend: mend})
	}
	if len(found) == 0 && s.Len() > 0 {
		tell(CodeSheetUnknown, tables.Notice, "no table was found on the sheet: "+why, "nothing to do if it holds no log; otherwise name its columns as in the template")
	}
	if len(found) > 0 && s.Hidden {
		tell(CodeHiddenSheet, tables.Notice, "the sheet is hidden in the spreadsheet and was read like the others", "delete the sheet if it must not count")
	}
	if len(found) > 0 && s.HiddenRows > 0 {
		tell(CodeHiddenRows, tables.Notice, fmt.Sprintf("%d rows are hidden or filtered out in the spreadsheet and were read like the others", s.HiddenRows), "delete the rows if they must not count")
	}
	if s.Stop.Row > 0 {
		tell(CodeSheetCutShort, tables.SetAside, fmt.Sprintf("the sheet could be read only up to row %d: %s", s.Stop.Row-1, s.Stop.Why), "open the file in your spreadsheet program, check it and save it anew")
	}
	if s.RowsBeyond > 0 {
		tell(CodeSheetCutShort, tables.SetAside, fmt.Sprintf("%d rows lie beyond what is read of one sheet (%d rows, %d cells) and are set aside", s.RowsBeyond, grid.MaxRows, grid.MaxCells), "split the sheet")
	}
	if s.WiderRows > 0 {
		tell(CodeTooManyColumns, tables.Notice, fmt.Sprintf("%d rows have content to the right of column %s, which is not read", s.WiderRows, grid.Letters(grid.MaxColumns-1)), "move the tables to the left, or onto sheets of their own")
	}
	for _, row := range s.BrokenQuotes {
		r.problems.add(place{at.file, at.sheet, row, -1}, tables.Problem{
			Code: CodeUnclosedQuote, Severity: tables.Notice,
			Message: "a quotation mark in this row is not closed; the lines after it were read as rows of their own",
			Mend:    "close or remove the quotation mark",
		})
	}
}

func mergedNote(n int) tables.Problem {
	return tables.Problem{
		Code: CodeMergedCells, Severity: tables.Notice, Value: fmt.Sprint(n),
		Message: "cells that are merged downwards were read as if each row held the value of the first",
		Mend:    "nothing to do if that is what was meant",
	}
}
