// Package template writes the blank log workbook: one sheet for each input
// table, made from the declarations in package tables, and a first sheet that
// says how to fill them in. What is declared there is what ingest reads, so the
// two cannot drift apart.
package template

import (
	"errors"
	"fmt"
	"io"

	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/tables"
)

// preparedRows is how many rows below the header have drop-downs and checks.
// Formats hold for the whole column.
const preparedRows = 1000

// lastRow is the last prepared row of a sheet.
const lastRow = 1 + preparedRows

// Write writes the workbook (.xlsx). The same version gives the same bytes.
func Write(w io.Writer) (err error) {
	f := excelize.NewFile()
	defer func() { err = errors.Join(err, f.Close()) }()
	b := builder{file: f, inputs: tables.Inputs()}
	if err := b.build(); err != nil {
		return fmt.Errorf("template: %w", err)
	}
	if err := f.Write(w); err != nil {
		return fmt.Errorf("template: writing: %w", err)
	}
	return nil
}

// builder fills the workbook.
type builder struct {
	file   *excelize.File
	inputs []tables.Table
	styles styles
}

func (b *builder) build() error {
	// Fixed properties: the clock has no place in a file that must repeat.
	err := b.file.SetDocProps(&excelize.DocProperties{
		Creator: author, LastModifiedBy: author, Title: "Casting and plaster log", Description: "Blank log, to be filled in and read by Moldwright",
		Created: "2025-01-01T00:00:00Z", Modified: "2025-01-01T00:00:00Z",
	})
	if err != nil {
		return err
	}
	if b.styles, err = makeStyles(b.file); err != nil {
		return err
	}
	if err := b.file.SetSheetName("Sheet1", guideSheet); err != nil {
		return err
	}
	// All sheets first: drop-downs point from one to another.
	for _, t := range b.inputs {
		if _, err := b.file.NewSheet(sheetName(t)); err != nil {
			return err
		}
	}
	for _, t := range b.inputs {
		if err := b.inputSheet(t); err != nil {
			return fmt.Errorf("sheet %s: %w", sheetName(t), err)
		}
	}
	if err := b.guide(); err != nil {
		return fmt.Errorf("sheet %s: %w", guideSheet, err)
	}
	b.file.SetActiveSheet(0)
	return nil
}

const author = "Moldwright"

// page sets the sheet up for print: landscape, one page wide, any paper.
func (b *builder) page(sheet string) error {
	orientation, wide, tall, fit := "landscape", 1, 0, true
	if err := b.file.SetSheetProps(sheet, &excelize.SheetPropsOptions{FitToPage: &fit}); err != nil {
		return err
	}
	if err := b.file.SetPageLayout(sheet, &excelize.PageLayoutOptions{Orientation: &orientation, FitToWidth: &wide, FitToHeight: &tall}); err != nil {
		return err
	}
	return b.file.SetHeaderFooter(sheet, &excelize.HeaderFooterOptions{OddFooter: "&L&A&RPage &P of &N"})
}
