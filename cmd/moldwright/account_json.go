package main

import (
	"encoding/json"
	"io"

	"moldwright/pipeline/ingest"
	"moldwright/pipeline/ingest/mapping"
	"moldwright/pipeline/tables"
)

// The account for machines. Its keys are a contract: more may be added, none
// is renamed, and every key is there in every run.
type (
	accountJSON struct {
		Rows     rowsJSON      `json:"rows"`
		Files    []fileJSON    `json:"files"`
		Problems []problemJSON `json:"problems"`
		Mapping  string        `json:"mapping"` // a mapping file for the sheets that were not understood, "" for none
	}
	rowsJSON struct {
		Read     int `json:"read"`
		Used     int `json:"used"`
		SetAside int `json:"set_aside"`
		NotData  int `json:"not_data"`
	}
	fileJSON struct {
		Name       string      `json:"name"`
		SHA256     string      `json:"sha256"`
		Bytes      int64       `json:"bytes"`
		Unreadable string      `json:"unreadable"`
		Skipped    string      `json:"skipped"`
		Sheets     []sheetJSON `json:"sheets"`
	}
	sheetJSON struct {
		Name   string      `json:"name"`
		Hidden bool        `json:"hidden"`
		Why    string      `json:"why_not_used"`
		Mapped bool        `json:"mapped"`
		Rows   rowsJSON    `json:"rows"`
		Tables []tableJSON `json:"tables"`
	}
	tableJSON struct {
		Table     string       `json:"table"`
		HeaderRow int          `json:"header_row"`
		Used      int          `json:"rows_used"`
		SetAside  int          `json:"rows_set_aside"`
		Columns   []columnJSON `json:"columns"`
	}
	columnJSON struct {
		Letter string `json:"letter"`
		Header string `json:"header"`
		Column string `json:"column"`
		Unit   string `json:"unit"`
	}
	problemJSON struct {
		File     string `json:"file"`
		Sheet    string `json:"sheet"`
		Cell     string `json:"cell"`
		Code     string `json:"code"`
		Severity string `json:"severity"`
		Value    string `json:"value"`
		Message  string `json:"message"`
		Mend     string `json:"mend"`
	}
)

func (a account) writeJSON(w io.Writer) error {
	read, used, aside, none := a.reading.Rows()
	out := accountJSON{Rows: rowsJSON{read, used, aside, none}, Files: []fileJSON{}, Problems: []problemJSON{}}
	for _, f := range a.reading.Files {
		out.Files = append(out.Files, fileOf(f))
	}
	for _, p := range a.problems {
		out.Problems = append(out.Problems, problemOf(p))
	}
	if len(a.drafts) > 0 {
		out.Mapping = mapping.Text(a.drafts)
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(out)
}

func problemOf(p tables.Problem) problemJSON {
	return problemJSON{p.File, p.Sheet, p.Cell, p.Code, p.Severity, p.Value, p.Message, p.Mend}
}

func fileOf(f ingest.File) fileJSON {
	out := fileJSON{Name: f.Name, SHA256: f.SHA256, Bytes: f.Bytes, Unreadable: f.Unreadable, Skipped: f.Skipped, Sheets: []sheetJSON{}}
	for _, s := range f.Sheets {
		sheet := sheetJSON{
			Name: s.Name, Hidden: s.Hidden, Why: s.Why, Mapped: s.Mapped,
			Rows: rowsJSON{s.RowsRead, s.RowsUsed, s.RowsAside, s.RowsNoData}, Tables: []tableJSON{},
		}
		for _, t := range s.Tables {
			table := tableJSON{Table: t.Table, HeaderRow: t.HeaderRow, Used: t.RowsUsed, SetAside: t.RowsAside, Columns: []columnJSON{}}
			for _, c := range t.Columns {
				table.Columns = append(table.Columns, columnJSON{c.Letter, c.Header, c.Column, c.Unit})
			}
			sheet.Tables = append(sheet.Tables, table)
		}
		out.Sheets = append(out.Sheets, sheet)
	}
	return out
}
