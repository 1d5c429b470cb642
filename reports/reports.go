// Package reports writes a result into a folder: workbook, page, charts, plain
// tables and the record of the run. It formats and computes nothing.
package reports

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sync"

	"moldwright/pipeline"
	"moldwright/reports/calendar"
	"moldwright/reports/charts"
	"moldwright/reports/internal/cores"
	"moldwright/reports/outdir"
	"moldwright/reports/page"
	"moldwright/reports/plain"
	"moldwright/reports/runrecord"
	"moldwright/reports/workbook"
)

// Write writes every output into the folder, which must exist, on all cores.
// Progress is told what is being written, one call at a time; it may be nil.
func Write(ctx context.Context, dir string, res pipeline.Result, progress func(what string)) error {
	return outputs{
		draw: charts.Begin, tables: plain.Write,
		book: "report.xlsx", bind: workbook.Write, page: "report.html", print: page.Write, calendar: "run_plan.ics",
	}.write(ctx, dir, res, progress)
}

// WritePlan writes a run plan alone into the folder, which must exist: workbook,
// page, calendar, charts, tables and the record of the run. Progress is told what
// is being written, one call at a time; it may be nil.
func WritePlan(ctx context.Context, dir string, res pipeline.Result, progress func(what string)) error {
	return outputs{
		draw: charts.BeginPlan, tables: plain.WritePlan,
		book: "plan.xlsx", bind: workbook.WritePlan, page: "plan.html", print: page.WritePlan, calendar: "plan.ics",
	}.write(ctx, dir, res, progress)
}

// outputs are what a run writes: how, and under which names.
type outputs struct {
	draw   func(pipeline.Result) (*charts.Drawing, error)
	tables func(dir string, res pipeline.Result) error

	book, page, calendar string
	bind                 func(io.Writer, pipeline.Result, workbook.Charts) error
	print                func(io.Writer, pipeline.Result, []charts.Chart) error
}

// write draws the charts while whatever needs none of them is written, and the
// workbook's sheets as their charts are there. What is written does not depend on the
// order.
func (o outputs) write(ctx context.Context, dir string, res pipeline.Result, progress func(what string)) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	told, tell := res.Told(), oneByOne(progress)
	tell("drawing charts")
	drawing, err := o.draw(told)
	if err != nil {
		return fmt.Errorf("draw charts: %w", err)
	}
	defer drawing.Wait()
	withAll := func(write func([]charts.Chart) error) func() error {
		return func() error {
			pics, err := drawing.All()
			if err != nil {
				return fmt.Errorf("draw charts: %w", err)
			}
			return write(pics)
		}
	}
	return perform(ctx, tell, []step{
		{"writing the workbook", func() error {
			return writeFile(filepath.Join(dir, o.book), func(w io.Writer) error { return o.bind(w, told, drawing) })
		}},
		{"writing tables", func() error { return writeTables(filepath.Join(dir, "tables"), res, o.tables) }},
		{"writing the calendar", func() error { return writeCalendar(filepath.Join(dir, o.calendar), told) }},
		{"writing the record", func() error { return writeRecord(dir, res) }},
		{"writing the page", withAll(func(pics []charts.Chart) error {
			return writeFile(filepath.Join(dir, o.page), func(w io.Writer) error { return o.print(w, told, pics) })
		})},
		{"writing charts", withAll(func(pics []charts.Chart) error { return writeCharts(filepath.Join(dir, "charts"), pics) })},
	})
}

// step is one output to write.
type step struct {
	what string
	run  func() error
}

// perform takes the steps on all cores, and returns the error of the first of them
// that has one. No step begins once the context is done.
func perform(ctx context.Context, progress func(string), steps []step) error {
	errs := make([]error, len(steps))
	cores.Each(len(steps), func(i int) {
		if errs[i] = ctx.Err(); errs[i] == nil {
			progress(steps[i].what)
			errs[i] = steps[i].run()
		}
	})
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// oneByOne lets one call through at a time. It may be given nil.
func oneByOne(progress func(string)) func(string) {
	if progress == nil {
		return func(string) {}
	}
	var mu sync.Mutex
	return func(what string) {
		mu.Lock()
		defer mu.Unlock()
		progress(what)
	}
}

// writeCalendar writes the dates of the run plan, where it has any.
func writeCalendar(path string, res pipeline.Result) error {
	if !calendar.Has(res) {
		return nil
	}
	return writeFile(path, func(w io.Writer) error { return calendar.Write(w, res) })
}

func writeRecord(dir string, res pipeline.Result) error {
	return writeFile(filepath.Join(dir, outdir.Record), func(w io.Writer) error { return runrecord.Write(w, runrecord.Of(res)) })
}

func writeTables(dir string, res pipeline.Result, write func(string, pipeline.Result) error) error {
	if err := os.Mkdir(dir, 0o755); err != nil {
		return fmt.Errorf("write tables: %w", err)
	}
	return write(dir, res)
}

func writeCharts(dir string, pics []charts.Chart) error {
	if err := os.Mkdir(dir, 0o755); err != nil {
		return fmt.Errorf("write charts: %w", err)
	}
	for _, c := range pics {
		for ext, data := range map[string][]byte{".svg": c.SVG, ".png": c.PNG} {
			if err := os.WriteFile(filepath.Join(dir, c.Name+ext), data, 0o644); err != nil {
				return fmt.Errorf("write chart %s: %w", c.Name, err)
			}
		}
	}
	return nil
}

// writeFile renders in memory first, so that an error in rendering leaves no
// half file.
func writeFile(path string, render func(io.Writer) error) error {
	var buf bytes.Buffer
	if err := render(&buf); err != nil {
		return fmt.Errorf("make %s: %w", filepath.Base(path), err)
	}
	if err := os.WriteFile(path, buf.Bytes(), 0o644); err != nil {
		return fmt.Errorf("write %s: %w", filepath.Base(path), err)
	}
	return nil
}
