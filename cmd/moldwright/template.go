package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"moldwright/reports/outdir"
	"moldwright/reports/template"
)

func templateCommand() command {
	return command{
		name: "template", args: "-o FILE.xlsx", summary: "write a blank log workbook",
		about: "Writes a blank log workbook with a sheet for every table, units in the headers, drop-down lists and\n" +
			"checks of dates and numbers, and a first sheet that says how to fill it in. An existing file is kept.",
		setup: func(flags *pflag.FlagSet) func(context.Context, []string, terminal) error {
			out := flags.StringP("out", "o", "", "workbook to write, ending in .xlsx")
			quiet := flags.BoolP("quiet", "q", false, "say nothing but errors")
			return func(_ context.Context, args []string, term terminal) error {
				switch {
				case len(args) > 0:
					return fail(exitUsage, errors.New("template takes no files; name the new workbook with -o"))
				case !strings.EqualFold(filepath.Ext(*out), ".xlsx"):
					return fail(exitUsage, errors.New("name the new workbook with -o FILE.xlsx"))
				}
				if err := writeTemplate(*out); err != nil {
					return fail(exitNotWritten, err)
				}
				if !*quiet {
					fmt.Fprintf(term.out, "Wrote %s. Its first sheet says how to fill it in.\n", *out)
				}
				return nil
			}
		},
	}
}

// writeTemplate never replaces a file: it may be a log already filled in.
func writeTemplate(path string) error {
	var buf bytes.Buffer
	if err := template.Write(&buf); err != nil {
		return fmt.Errorf("make the template: %w", err)
	}
	return outdir.NewFile(path, buf.Bytes())
}
