package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/pflag"

	"moldwright/fixtures"
	"moldwright/pipeline"
	"moldwright/pipeline/ingest"
	"moldwright/reports"
	"moldwright/reports/outdir"
)

const demoOut = "moldwright-demo"

func demoCommand() command {
	return command{
		name: "demo", args: "[-o OUT]", summary: "write the report of an invented studio",
		about: "Writes the spreadsheets of an invented studio into OUT/spreadsheets and the report made from them\n" +
			"into OUT, to show what a log looks like and what comes out of it.",
		setup: func(flags *pflag.FlagSet) func(context.Context, []string, terminal) error {
			out := flags.StringP("out", "o", demoOut, "folder to write into")
			opts := addRunOptions(flags)
			return func(ctx context.Context, args []string, term terminal) error {
				if len(args) > 0 {
					return fail(exitUsage, errors.New("demo reads nothing but its own studio; use report for your files"))
				}
				return demo(ctx, *out, opts, term)
			}
		},
	}
}

func demo(ctx context.Context, out string, opts runOptions, term terminal) error {
	set, err := opts.settings()
	if err != nil {
		return err
	}
	stage, err := outdir.Begin(out, outdir.Report)
	if err != nil {
		return fail(exitNotWritten, err)
	}
	defer stage.Discard()
	studio := filepath.Join(stage.Dir(), "spreadsheets")
	if err := os.CopyFS(studio, fixtures.Demo()); err != nil {
		return fail(exitNotWritten, fmt.Errorf("write the demo's spreadsheets: %w", err))
	}
	sources, err := ingest.Find([]string{studio})
	if err != nil {
		return fail(exitNothing, err)
	}
	show, done := progress(term.err, *opts.quiet)
	defer done()
	res, err := pipeline.Run(ctx, sources, set, show)
	if err != nil {
		return inputFailure(err)
	}
	defer res.Studio.Release()
	res.Links = linksFrom(stage.Dir(), res.Reading)
	if err := finish(ctx, stage, res, show, reports.Write); err != nil {
		return err
	}
	done()
	return summarise(term, opts, res, stage.Final())
}
