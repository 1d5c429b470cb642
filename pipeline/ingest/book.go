package ingest

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// book reads the tables on all sheets of a file.
func (r *reader) book(ctx context.Context, file int, b grid.Book) error {
	var blocks []*block
	var looks []grid.SecondLook
	for _, s := range b.Sheets {
		if s.Headed {
			r.problems.nameColumns(file, s)
		}
	}
	for i, found := range r.recogniseAll(file, b) {
		s := b.Sheets[i]
		for _, blk := range found.blocks {
			blk.place = place{file, i, 0, -1}
		}
		r.problems.files[file].Sheets = append(r.problems.files[file].Sheets, describe(s, found))
		a := newAccount(file, i, s)
		r.sheets = append(r.sheets, a)
		r.tellSheet(place{file, i, 0, -1}, s, found.blocks, found.why)
		if len(found.blocks) == 0 {
			continue
		}
		look := s.Parts.Look()
		for _, blk := range found.blocks {
			blk.index = int32(len(r.blocks))
			r.blocks = append(r.blocks, blk.register(r.problems.files[file].Name, s.Name))
			r.accounts.blocks = append(r.accounts.blocks, blk)
			r.accounts.byBlock = append(r.accounts.byBlock, a.open(blk, s))
			if blk.turned {
				look = grid.SecondLook{}
			}
			if n := blk.fillMerged(look.Merged); n > 0 {
				blk.notes = append(blk.notes, note{-1, mergedNote(n)})
			}
			blk.findFirsts()
			blk.fillDitto()
			blk.applyMapping(found.rule)
			blk.survey()
			blocks, looks = append(blocks, blk), append(looks, look)
		}
	}
	settleDates(blocks, r.opt.DateOrder.order())
	told := map[placed]bool{}
	for i, blk := range blocks {
		if err := r.block(ctx, blk, looks[i], len(blocks) == 1); err != nil {
			return err
		}
		for _, n := range blk.notes {
			at := blk.spot(blk.sheet.Number(blk.lines[0]), n.at)
			if !told[placed{at, n.Problem}] { // the groups of a wide layout have columns in common
				r.problems.add(at, n.Problem)
			}
			told[placed{at, n.Problem}] = true
		}
	}
	for _, blk := range blocks {
		blk.sheet, blk.firsts = nil, nil // its cells are not needed any more
	}
	return nil
}

// leftOut is why a sheet was not looked at that the mapping file leaves out.
const leftOut = "the mapping file leaves the sheet out"

// recogniseAll finds the tables on the sheets of a file. Sheets on which none is
// found are looked at again in the light of the molds that the others list.
func (r *reader) recogniseAll(file int, b grid.Book) []recognised {
	out := make([]recognised, len(b.Sheets))
	molds := map[string]bool{}
	for k := range r.shelves.molds.all {
		molds[nameKey(r.shelves.molds.all[k].Mold)] = true
	}
	for i, s := range b.Sheets {
		h := r.hintsFor(file, s, molds)
		if isGuide(s) {
			out[i] = recognised{why: theGuide}
			continue
		}
		if h.rule != nil && h.rule.LeaveOut {
			out[i] = recognised{why: leftOut, rule: h.rule}
			continue
		}
		out[i] = recognise(s, h)
		for _, blk := range out[i].blocks {
			blk.listMolds(molds)
		}
	}
	for i, s := range b.Sheets {
		if len(out[i].blocks) == 0 && len(molds) > 0 && out[i].why != leftOut && out[i].why != theGuide {
			out[i] = recognise(s, r.hintsFor(file, s, molds))
		}
	}
	return out
}

// listMolds adds the names of a block that lists molds.
func (b *block) listMolds(molds map[string]bool) {
	if b.table.Name != "molds" || len(b.byDecl[0]) == 0 {
		return
	}
	at := b.columns[b.byDecl[0][0]].at
	for i := b.from; i < b.to; i++ {
		if name := b.sheet.Cell(i, at); name != "" {
			molds[nameKey(quantity.Identifier(name))] = true
		}
	}
}

// describe is the sheet's entry in the account of the reading.
func describe(s *grid.Sheet, found recognised) Sheet {
	out := Sheet{Name: s.Name, Hidden: s.Hidden, Why: found.why, Mapped: found.rule != nil}
	var names []string
	for _, b := range found.blocks {
		if !slices.Contains(names, b.table.Name) {
			names = append(names, b.table.Name)
		}
		entry := b.register("", "")
		out.Tables = append(out.Tables, TableRead{Table: entry.Table, HeaderRow: entry.HeaderRow, Columns: entry.Columns})
	}
	out.Table = strings.Join(names, ", ")
	if len(out.Tables) > 0 {
		out.HeaderRow, out.Columns = out.Tables[0].HeaderRow, out.Tables[0].Columns
		return out
	}
	if found.why != theGuide && found.why != leftOut { // nothing to settle there
		out.Headers, out.Near = likeliestHeader(s, found.near)
	}
	return out
}

// likeliestHeader is, on a sheet on which no table was found, the row that looks
// most like a header, with the columns that its cells might stand for.
func likeliestHeader(s *grid.Sheet, near candidate) (heads []tables.BlockColumn, table string) {
	if near.matched > 0 {
		for _, col := range near.columns {
			head := tables.BlockColumn{Letter: grid.Letters(col.at), Header: col.header}
			if col.used {
				head.Column, head.Unit = near.vocabulary.table.Columns[col.match.column].Name, col.match.unit.Name
			}
			if head.Header != "" {
				heads = append(heads, head)
			}
		}
		return heads, near.vocabulary.table.Name
	}
	best, most := -1, 1
	for i := range min(s.Len(), headerDepth) {
		r := s.Row(i)
		if n := min(r.Width(), narrow); couldBeHeader(r, 0, n) {
			words := 0
			for at := range n {
				if r.Cell(at) != "" {
					words++
				}
			}
			if words > most {
				best, most = i, words
			}
		}
	}
	for at := 0; best >= 0 && at < min(s.Row(best).Width(), narrow); at++ {
		if text := s.Cell(best, at); text != "" {
			heads = append(heads, tables.BlockColumn{Letter: grid.Letters(at), Header: text})
		}
	}
	return heads, ""
}

// tellSheet reports what is to be said about a sheet as a whole.
func (r *reader) tellSheet(at place, s *grid.Sheet, found []*block, why string) {
	tell := func(code, severity, message, mend string) {
		r.problems.add(at, tables.Problem{Code: code, Severity: severity, Message: message, Mend: mend})
	}
	switch {
	case why == leftOut:
		tell(CodeMappingUsed, tables.Notice, leftOut, "nothing to do if that is right")
	case why == theGuide:
	case len(found) == 0 && s.Len() > 0:
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
	if len(s.LeftOut) > 0 {
		tell(CodeColumnNotUsed, tables.Notice, "columns of a type that is not read are left out: "+shown(strings.Join(s.LeftOut, ", ")), "nothing to do, unless one of them was meant for the log: write it as text, numbers, days or a list of numbers")
	}
	if s.ReadingsBeyond > 0 {
		tell(CodeColumnNotUsed, tables.Notice, fmt.Sprintf("%d readings lie beyond the first %d of their cells and are not read", s.ReadingsBeyond, grid.MaxReadings), "nothing to do, unless the column does not hold readings")
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

// guideName is what the log template calls the sheet that says how to fill it
// in; the sheet begins with the same words.
const guideName = "How to fill this in"

// theGuide is why that sheet is not looked at.
const theGuide = "this is the guide of the log template, not a log"

// isGuide reports whether a sheet is the guide of the log template.
func isGuide(s *grid.Sheet) bool {
	return s.Name == guideName && s.Len() > 0 && s.Cell(0, 0) == guideName
}
