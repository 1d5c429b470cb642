// Package workbook writes report.xlsx: a summary that says what to do next, then
// one sheet a question, each a table that can be filtered and printed. It formats
// what the pipeline worked out and computes no statistics.
package workbook

import (
	"fmt"
	"io"
	"sort"
	"time"

	"github.com/xuri/excelize/v2"

	"moldwright/pipeline"
	"moldwright/pipeline/tables"
)

// book is a workbook in the making. The first error stops everything that
// follows and is returned by Write.
type book struct {
	file     *excelize.File
	res      pipeline.Result
	pics     Charts
	home     string // first sheet, to which the others lead back
	limits   limits
	styles   map[look]int
	tones    map[string]int
	headings map[string]int // header row of the sheets written so far
	parts    map[string]int // number of each sheet's part in the file
	tables   []tablePart
	places   map[about]place
	figures  []figure // key figures, in the order in which they were written
	err      error
}

// limits of a sheet, smaller in tests.
type limits struct {
	most int // so many rows of a table are shown at most
	long int // the same of a table that may have very many
}

// usualLimits keep a workbook of any studio or factory small enough to open at
// once and to scroll through, and to read where a table needs action; the folder of
// tables holds every row.
func usualLimits() limits { return limits{most: 2000, long: 5000} }

// Write writes the workbook of a result, with its charts as pictures. The same
// result gives the same bytes.
func Write(w io.Writer, res pipeline.Result, pics Charts) error {
	return write(w, res, pics, usualLimits())
}

func write(w io.Writer, res pipeline.Result, pics Charts, lim limits) error {
	return writeAnswers(w, res, pics, lim, answers())
}

// bind makes a workbook of what fill writes into it, and writes it.
func bind(w io.Writer, b book, fill func(*book)) (err error) {
	f := excelize.NewFile()
	defer func() {
		if e := f.Close(); err == nil && e != nil {
			err = fmt.Errorf("closing the workbook: %w", e)
		}
	}()
	b.file, b.styles, b.tones, b.headings = f, map[look]int{}, map[string]int{}, map[string]int{}
	b.parts, b.places = map[string]int{b.home: 1}, map[about]place{}
	b.prepare()
	fill(&b)
	if b.err != nil {
		return fmt.Errorf("making the workbook: %w", b.err)
	}
	orderContentTypes(f)
	var made collected
	f.SetZipWriter(func(io.Writer) excelize.ZipWriter { return &made })
	_, err = f.WriteTo(io.Discard)
	if err == nil {
		err = made.addTables(b.tables)
	}
	if err == nil {
		err = made.write(w)
	}
	if err != nil {
		return fmt.Errorf("writing the workbook: %w", err)
	}
	return nil
}

// prepare names the first sheet and fixes what would otherwise change from run to run.
func (b *book) prepare() {
	b.fail(b.file.SetSheetName("Sheet1", b.home))
	b.file.SetActiveSheet(0)
	b.fail(b.file.SetDefaultFont(fontName))
	stamp := time.Date(2000, time.January, 1, 0, 0, 0, 0, time.UTC)
	if d := b.asOf(); d.Valid() {
		stamp = d.Time()
	}
	when := stamp.Format(time.RFC3339)
	b.fail(b.file.SetDocProps(&excelize.DocProperties{
		Title: b.title(), Subject: "Plaster molds: dwell, wear, remaining casts and plaster",
		Creator: "Moldwright", LastModifiedBy: "Moldwright", Created: when, Modified: when, Language: "en-US",
	}))
	b.fail(b.file.SetAppProps(&excelize.AppProperties{Application: "Moldwright"}))
}

// asOf is the day the report speaks of, NoDate where the inputs hold no date.
func (b *book) asOf() tables.Date {
	if b.res.Settings.AsOf.Valid() {
		return b.res.Settings.AsOf
	}
	if d := b.res.Log.AsOf; d.Valid() && d != 0 {
		return d
	}
	return tables.NoDate
}

func (b *book) title() string {
	what := "Moldwright studio report"
	if b.home == planSheet {
		what = "Moldwright run plan"
	}
	if d := b.asOf(); d.Valid() {
		return what + " as of " + b.res.Settings.Days.Day(d)
	}
	return what
}

// has reports whether a sheet was written.
func (b *book) has(sheet string) bool {
	_, ok := b.headings[sheet]
	return ok
}

// fail keeps the first error.
func (b *book) fail(err error) {
	if b.err == nil {
		b.err = err
	}
}

// orderContentTypes puts the kinds of pictures in order: the library adds them
// in the order of a map, so that two equal workbooks would differ.
func orderContentTypes(f *excelize.File) {
	if f.ContentTypes == nil {
		return
	}
	kinds := f.ContentTypes.Defaults
	sort.Slice(kinds, func(i, j int) bool { return kinds[i].Extension < kinds[j].Extension })
}
