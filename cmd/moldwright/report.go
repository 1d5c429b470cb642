package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"moldwright/pipeline"
	"moldwright/pipeline/ingest"
	"moldwright/pipeline/ingest/grid"
	"moldwright/reports"
	"moldwright/reports/outdir"
)

func reportCommand() command {
	return command{
		name: "report", args: "-o OUT PATH…", summary: "read spreadsheets, write a report folder",
		about: "Reads .xlsx and .csv files, and all of those in folders, and writes a report into the folder OUT:\n" +
			"report.xlsx, report.html, charts/, tables/ and run.json. OUT appears whole or not at all; a former\n" +
			"report in OUT is replaced, other files never are. Inputs are only read.",
		setup: func(flags *pflag.FlagSet) func(context.Context, []string, terminal) error {
			out := flags.StringP("out", "o", "", "folder to write the report into")
			opts := addRunOptions(flags)
			opts.mapping = addMapping(flags)
			return func(ctx context.Context, args []string, term terminal) error {
				if *out == "" {
					return fail(exitUsage, errors.New("say where to write with -o OUT"))
				}
				if len(args) == 0 {
					return fail(exitUsage, errors.New("name the files or folders to read"))
				}
				return report(ctx, *out, args, opts, term)
			}
		},
	}
}

func report(ctx context.Context, out string, paths []string, opts runOptions, term terminal) error {
	set, err := opts.settings()
	if err != nil {
		return err
	}
	return produce(ctx, out, paths, set, opts, term, product{kind: outdir.Report, write: reports.Write, tell: summarise})
}

// product is what a command makes of a run.
type product struct {
	kind  outdir.Kind
	check func(pipeline.Result) error // whether the result is worth writing; nil for always
	write writer
	tell  func(terminal, runOptions, pipeline.Result, string) error // last words; the string is the folder
}

// writer writes a result into a folder, telling what it writes.
type writer func(ctx context.Context, dir string, res pipeline.Result, progress func(string)) error

// produce reads the paths, runs the pipeline, and writes the product into the folder out.
func produce(ctx context.Context, out string, paths []string, set pipeline.Settings, opts runOptions, term terminal, p product) error {
	sources, err := ingest.Find(paths)
	if err != nil {
		return fail(exitNothing, err)
	}
	if err := apart(out, sources); err != nil {
		return err
	}
	if err := outdir.Check(out, p.kind); err != nil { // before the work, not after it
		return fail(exitNotWritten, err)
	}
	show, done := progress(term.err, *opts.quiet)
	defer done()
	res, err := pipeline.Run(ctx, sources, set, show)
	if err != nil {
		return inputFailure(err)
	}
	defer res.Studio.Release()
	res.Links = linksFrom(out, res.Reading)
	if p.check != nil {
		if err := p.check(res); err != nil {
			return err
		}
	}
	stage, err := outdir.Begin(out, p.kind)
	if err != nil {
		return fail(exitNotWritten, err)
	}
	defer stage.Discard()
	if err := finish(ctx, stage, res, show, p.write); err != nil {
		return err
	}
	done()
	return p.tell(term, opts, res, stage.Final())
}

// finish writes the result and puts it in place.
func finish(ctx context.Context, stage *outdir.Staging, res pipeline.Result, show func(string), write writer) error {
	if err := write(ctx, stage.Dir(), res, show); err != nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return fail(exitNotWritten, fmt.Errorf("%w; nothing was changed there: free some room or choose another place, then run again", err))
	}
	if err := stage.Land(); err != nil {
		return fail(exitNotWritten, err)
	}
	return nil
}

// inputFailure gives an error of reading its exit code.
func inputFailure(err error) error {
	var nothing *ingest.NothingUsableError
	switch {
	case errors.As(err, &nothing):
		return fail(exitNothing, err)
	case errors.Is(err, grid.ErrNoRoom):
		return fail(exitNotWritten, err)
	}
	return err
}

// apart makes sure that no input lies in the folder that the report replaces.
func apart(out string, sources []ingest.Source) error {
	final, err := filepath.Abs(out)
	if err != nil {
		return fail(exitUsage, fmt.Errorf("output folder %s: %w", out, err))
	}
	if real, err := filepath.EvalSymlinks(final); err == nil {
		final = real
	}
	for _, s := range sources {
		path, err := filepath.Abs(s.Path)
		if err != nil {
			continue
		}
		if real, err := filepath.EvalSymlinks(path); err == nil {
			path = real
		}
		if rel, err := filepath.Rel(final, path); err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator)) {
			return fail(exitUsage, fmt.Errorf("the input %s lies inside the output folder %s, which the output replaces; choose another folder for the output", s.Name, out))
		}
	}
	return nil
}
