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

	"moldwright/pipeline"
	"moldwright/reports/calendar"
	"moldwright/reports/charts"
	"moldwright/reports/outdir"
	"moldwright/reports/page"
	"moldwright/reports/plain"
	"moldwright/reports/runrecord"
	"moldwright/reports/workbook"
)

// Write writes every output into the folder, which must exist. Progress is told
// what is being written; it may be nil.
func Write(ctx context.Context, dir string, res pipeline.Result, progress func(what string)) error {
	if progress == nil {
		progress = func(string) {}
	}
	progress("drawing charts")
	told := res.Told()
	pics, err := charts.Draw(told)
	if err != nil {
		return fmt.Errorf("draw charts: %w", err)
	}
	return perform(ctx, progress, []step{
		{"writing charts", func() error { return writeCharts(filepath.Join(dir, "charts"), pics) }},
		{"writing tables", func() error { return writeTables(filepath.Join(dir, "tables"), res, plain.Write) }},
		{"writing the workbook", func() error {
			return writeFile(filepath.Join(dir, "report.xlsx"), func(w io.Writer) error { return workbook.Write(w, told, pics) })
		}},
		{"writing the page", func() error {
			return writeFile(filepath.Join(dir, "report.html"), func(w io.Writer) error { return page.Write(w, told, pics) })
		}},
		{"writing the calendar", func() error { return writeCalendar(filepath.Join(dir, "run_plan.ics"), told) }},
		{"writing the record", func() error { return writeRecord(dir, res) }},
	})
}

// WritePlan writes a run plan alone into the folder, which must exist: workbook,
// page, calendar, charts, tables and the record of the run. Progress is told what
// is being written; it may be nil.
func WritePlan(ctx context.Context, dir string, res pipeline.Result, progress func(what string)) error {
	if progress == nil {
		progress = func(string) {}
	}
	progress("drawing charts")
	told := res.Told()
	pics, err := charts.DrawPlan(told)
	if err != nil {
		return fmt.Errorf("draw charts: %w", err)
	}
	return perform(ctx, progress, []step{
		{"writing charts", func() error { return writeCharts(filepath.Join(dir, "charts"), pics) }},
		{"writing tables", func() error { return writeTables(filepath.Join(dir, "tables"), res, plain.WritePlan) }},
		{"writing the workbook", func() error {
			return writeFile(filepath.Join(dir, "plan.xlsx"), func(w io.Writer) error { return workbook.WritePlan(w, told, pics) })
		}},
		{"writing the page", func() error {
			return writeFile(filepath.Join(dir, "plan.html"), func(w io.Writer) error { return page.WritePlan(w, told, pics) })
		}},
		{"writing the calendar", func() error { return writeCalendar(filepath.Join(dir, "plan.ics"), told) }},
		{"writing the record", func() error { return writeRecord(dir, res) }},
	})
}

// step is one output to write.
type step struct {
	what string
	run  func() error
}

func perform(ctx context.Context, progress func(string), steps []step) error {
	for _, s := range steps {
		if err := ctx.Err(); err != nil {
			return err
		}
		progress(s.what)
		if err := s.run(); err != nil {
			return err
		}
	}
	return nil
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
