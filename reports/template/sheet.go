package template

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"moldwright/pipeline/tables"
)

// inputSheet makes a table's sheet: a header row and formatted, checked, empty
// columns. Cells below the header don't exist in the file until someone fills
// them, so that a blank sheet reads as blank.
func (b *builder) inputSheet(t tables.Table) error {
	sheet := sheetName(t)
	all := fields(t)
	for i, fl := range all {
		col, err := excelize.ColumnNumberToName(i + 1)
		if err != nil {
			return err
		}
		if err := b.file.SetColStyle(sheet, col, b.styles.of(fl.Column)); err != nil {
			return err
		}
		if err := b.file.SetColWidth(sheet, col, col, width(fl)); err != nil {
			return err
		}
		if err := b.header(sheet, col, t, fl); err != nil {
			return err
		}
		if err := b.check(sheet, col, t, fl); err != nil {
			return err
		}
	}
	if err := b.file.SetRowHeight(sheet, 1, 34); err != nil {
		return err
	}
	if err := b.file.SetPanes(sheet, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft",
		Selection: []excelize.Selection{{SQRef: "A2", ActiveCell: "A2", Pane: "bottomLeft"}}}); err != nil {
		return err
	}
	if err := b.page(sheet); err != nil {
		return err
	}
	return b.file.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: sheet + "!$1:$1", Scope: sheet})
}

// header writes a header cell with a note that explains the column.
func (b *builder) header(sheet, col string, t tables.Table, fl field) error {
	cell := col + "1"
	if err := b.file.SetCellStr(sheet, cell, fl.header); err != nil {
		return err
	}
	style := b.styles.optional
	if fl.required {
		style = b.styles.required
	}
	if err := b.file.SetCellStyle(sheet, cell, cell, style); err != nil {
		return err
	}
	note := explain(t, fl)
	return b.file.AddComment(sheet, excelize.Comment{
		Author: author, Cell: cell, Width: 260, Height: uint(40 + 18*(utf8.RuneCountInString(note)/38+1)),
		Paragraph: []excelize.RichTextRun{{Text: note}},
	})
}

// explain says in a few words what belongs in a column.
func explain(t tables.Table, fl field) string {
	parts := []string{fl.Doc + "."}
	if fl.required {
		parts = append([]string{"Required."}, parts...)
	}
	if len(fl.Choices) > 0 {
		parts = append(parts, "One of: "+strings.Join(fl.Choices, ", ")+".")
	}
	if ex := example(t, fl.Column); ex != "" {
		parts = append(parts, "Example: "+ex)
	}
	return strings.Join(parts, " ")
}

// width lets a long header take two lines.
func width(fl field) float64 {
	longest := 0
	for word := range strings.FieldsSeq(fl.header) {
		longest = max(longest, utf8.RuneCountInString(word))
	}
	n := utf8.RuneCountInString(fl.header)
	if n > 12 {
		n = n/2 + 2
	}
	if fl.Name == "note" {
		return 34
	}
	return float64(max(n, longest, 8) + 3)
}

// check adds the drop-down or the check of a column's cells. What is wrong for
// sure is refused; what is only unusual, such as a unit written in the cell or
// a mold that is not listed yet, may be kept after a question.
func (b *builder) check(sheet, col string, t tables.Table, fl field) error {
	dv := excelize.NewDataValidation(true)
	dv.SetSqref(fmt.Sprintf("%s2:%s%d", col, col, lastRow))
	var err error
	other, refers := b.lists(t, fl.Column)
	switch {
	case len(fl.Choices) > 0:
		err = dv.SetDropList(fl.Choices)
		dv.SetError(excelize.DataValidationErrorStyleStop, fl.header, "Choose one of: "+strings.Join(fl.Choices, ", ")+".")
	case refers:
		dv.SetSqrefDropList(names(other, fl.Name))
		ask(dv, fl, fmt.Sprintf("This name is not on the sheet %s. Keep it all the same?", sheetName(other)))
	case isKey(t, fl.Column):
		err = dv.SetRange(fmt.Sprintf("COUNTIF(%[1]s$2:%[1]s$%[2]d,%[1]s2)=1", col, lastRow), "", excelize.DataValidationTypeCustom, 0)
		ask(dv, fl, "This name stands on the sheet already. Keep it all the same?")
	default:
		var checked bool
		if checked, err = numeric(dv, fl); !checked {
			return err
		}
	}
	if err != nil {
		return err
	}
	return b.file.AddDataValidation(sheet, dv)
}

// ask lets an unusual value stand after a question.
func ask(dv *excelize.DataValidation, fl field, question string) {
	dv.SetError(excelize.DataValidationErrorStyleWarning, fl.header, question)
}

// names is the filled part of the column of names on another sheet, so that
// the drop-down does not end in a thousand blank lines.
func names(t tables.Table, column string) string {
	l := letter(t, column)
	return fmt.Sprintf("OFFSET(%[1]s!$%[2]s$2,0,0,MAX(1,COUNTA(%[1]s!$%[2]s$2:$%[2]s$%[3]d)),1)", sheetName(t), l, lastRow)
}

// firstDay is the first day that passes as a date: 1990-01-01, as a serial.
const firstDay = 32874

// numeric checks dates, times and numbers; text has no check.
func numeric(dv *excelize.DataValidation, fl field) (checked bool, err error) {
	least := excelize.DataValidationOperatorGreaterThanOrEqual
	between := excelize.DataValidationOperatorBetween
	switch fl.Kind {
	case tables.KindDate:
		err = dv.SetRange(firstDay, "", excelize.DataValidationTypeDate, least)
		ask(dv, fl, "This is not a date that the spreadsheet knows, such as 2025-03-04. Keep it all the same?")
	case tables.KindClock:
		err = dv.SetRange(0, 0.999999, excelize.DataValidationTypeTime, between)
		ask(dv, fl, "This is not a time of day, such as 9:30. Keep it all the same?")
	case tables.KindShare:
		err = dv.SetRange(0, 1, excelize.DataValidationTypeDecimal, between)
		ask(dv, fl, "This is not between 0 % and 100 %. Type the percent sign too: 4.5 %. Keep it all the same?")
	case tables.KindCount:
		err = dv.SetRange(0, "", excelize.DataValidationTypeWhole, least)
		ask(dv, fl, "This is not a whole number from 0 on. Keep it all the same?")
	case tables.KindDuration, tables.KindLength, tables.KindLengths, tables.KindMass, tables.KindVolume, tables.KindNumber:
		err = dv.SetRange(0, "", excelize.DataValidationTypeDecimal, least)
		ask(dv, fl, "This is not a plain number from 0 on in the unit of the header. Keep it all the same?")
	case tables.KindTemperature:
		err = dv.SetRange(-20, 140, excelize.DataValidationTypeDecimal, between)
		ask(dv, fl, "This is no temperature of a workshop in °C or °F. Keep it all the same?")
	default:
		return false, nil
	}
	return true, err
}
