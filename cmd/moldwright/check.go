package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"moldwright/pipeline/codes"
	"moldwright/pipeline/history"
	"moldwright/pipeline/ingest"
	"moldwright/pipeline/ingest/mapping"
	"moldwright/pipeline/tables"
	"moldwright/reports/outdir"
	"moldwright/reports/plain"
)

type checkOptions struct {
	problems, mapping, writeMapping, explain, dates *string
	json, quiet                                     *bool
}

func checkCommand() command {
	return command{
		name: "check", args: "PATH…", summary: "say what is usable and what is not",
		about: "Reads files and folders and says for each sheet what it was taken for, which column became what, how\n" +
			"many rows can be used, and what is wrong with the others. Where it had to give up on a sheet it prints\n" +
			"a mapping file to fill in. Writes nothing unless --problems or --write-mapping is given.",
		setup: func(flags *pflag.FlagSet) func(context.Context, []string, terminal) error {
			opts := checkOptions{
				problems:     flags.String("problems", "", "write the problems table to this new CSV file"),
				mapping:      addMapping(flags),
				writeMapping: flags.String("write-mapping", "", "write a mapping file for the sheets that are not understood to this new file"),
				explain:      flags.String("explain", "", "say what a problem's code means and how it is mended; reads nothing"),
				json:         flags.Bool("json", false, "write the account to standard output as JSON"),
				dates:        addDates(flags),
				quiet:        flags.BoolP("quiet", "q", false, "say nothing but errors"),
			}
			return func(ctx context.Context, args []string, term terminal) error {
				if *opts.explain != "" {
					return explain(*opts.explain, term)
				}
				if len(args) == 0 {
					return fail(exitUsage, errors.New("name the files or folders to read"))
				}
				return check(ctx, args, opts, term)
			}
		},
	}
}

func addMapping(flags *pflag.FlagSet) *string {
	return flags.String("mapping", "", "file that says what sheets and columns mean (TOML); moldwright check prints one to start from")
}

// readMapping reads the file of --mapping; none was given for "".
func readMapping(path string) (*mapping.Mapping, error) {
	if path == "" {
		return nil, nil
	}
	m, err := mapping.Read(path)
	if err != nil {
		return nil, fail(exitUsage, err)
	}
	if err := ingest.CheckMapping(m); err != nil {
		return nil, fail(exitUsage, fmt.Errorf("%s: %w", path, err))
	}
	return m, nil
}

func explain(code string, term terminal) error {
	c, ok := codes.Find(code)
	if !ok {
		return fail(exitUsage, fmt.Errorf("there is no problem code %q; moldwright check names the code above each problem", code))
	}
	fmt.Fprintf(term.out, "%s: %s\n%s\nWhat to do: %s\n", c.Code, c.Becomes, c.Means, c.Mend)
	return nil
}

func check(ctx context.Context, paths []string, opts checkOptions, term terminal) error {
	order, err := dateOrder(*opts.dates)
	if err != nil {
		return err
	}
	settled, err := readMapping(*opts.mapping)
	if err != nil {
		return err
	}
	sources, err := ingest.Find(paths)
	if err != nil {
		return fail(exitNothing, err)
	}
	show, done := progress(term.err, *opts.quiet)
	read, err := ingest.Read(ctx, sources, ingest.Options{Progress: show, DateOrder: order, Mapping: settled, Today: time.Now()})
	done()
	if err != nil {
		return inputFailure(err)
	}
	defer read.Studio.Release()
	_, late := history.Build(read.Studio, tables.NoDate)
	a := account{reading: read.Reading, problems: append(read.Problems, late...), drafts: drafts(read.Reading)}
	if err := a.writeFiles(opts); err != nil {
		return fail(exitNotWritten, err)
	}
	switch {
	case *opts.json:
		err = a.writeJSON(term.out)
	case !*opts.quiet:
		var b strings.Builder
		a.write(&b, widthOf(term.out))
		_, err = io.WriteString(term.out, printable(b.String()))
	}
	if err != nil {
		return err
	}
	if err := read.Reading.NothingUsable(); err != nil {
		return fail(exitNothing, err)
	}
	return nil
}

// account is what check found.
type account struct {
	reading  ingest.Reading
	problems []tables.Problem
	drafts   []mapping.Draft
}

// drafts are the sheets that were given up although they look like tables.
func drafts(reading ingest.Reading) []mapping.Draft {
	var out []mapping.Draft
	for _, f := range reading.Files {
		for _, s := range f.Sheets {
			if s.Table == "" && len(s.Headers) > 0 {
				out = append(out, mapping.Draft{File: f.Name, Sheet: s.Name, Why: s.Why, Table: s.Near, Columns: s.Headers})
			}
		}
	}
	return out
}

func (a account) writeFiles(opts checkOptions) error {
	if *opts.problems != "" {
		var buf bytes.Buffer
		if err := plain.Problems(&buf, a.problems); err != nil {
			return err
		}
		if err := outdir.NewFile(*opts.problems, buf.Bytes()); err != nil {
			return err
		}
	}
	if *opts.writeMapping != "" {
		if len(a.drafts) == 0 {
			return errors.New("no mapping file is needed: no sheet that looks like a table was given up")
		}
		return outdir.NewFile(*opts.writeMapping, []byte(mapping.Text(a.drafts)))
	}
	return nil
}
