package main

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"text/tabwriter"

	"github.com/spf13/pflag"

	"moldwright/pipeline/history"
	"moldwright/pipeline/ingest"
	"moldwright/pipeline/tables"
	"moldwright/reports/plain"
)

// shownProblems bounds the list on the terminal; the rest is in the table.
const shownProblems = 40

func checkCommand() command {
	return command{
		name: "check", args: "PATH…", summary: "say what is usable and what is not",
		about: "Reads files and folders and says for each sheet what it was taken for, which column became what, how\n" +
			"many rows can be used, and what is wrong with the others. Writes nothing unless --problems is given.",
		setup: func(flags *pflag.FlagSet) func(context.Context, []string, terminal) error {
			problems := flags.String("problems", "", "write the problems table to this new CSV file")
			asJSON := flags.Bool("json", false, "write the account to standard output as JSON")
			dates := addDates(flags)
			quiet := flags.BoolP("quiet", "q", false, "say nothing but errors")
			return func(ctx context.Context, args []string, term terminal) error {
				if len(args) == 0 {
					return fail(exitUsage, errors.New("name the files or folders to read"))
				}
				return check(ctx, args, checkOptions{*problems, *asJSON, *quiet, *dates}, term)
			}
		},
	}
}

type checkOptions struct {
	problems string
	json     bool
	quiet    bool
	dates    string
}

func check(ctx context.Context, paths []string, opts checkOptions, term terminal) error {
	order, err := dateOrder(opts.dates)
	if err != nil {
		return err
	}
	sources, err := ingest.Find(paths)
	if err != nil {
		return fail(exitNothing, err)
	}
	show, done := progress(term.err, opts.quiet)
	read, err := ingest.Read(ctx, sources, ingest.Options{Progress: show, DateOrder: order})
	done()
	if err != nil {
		return err
	}
	defer read.Studio.Release()
	_, late := history.Build(read.Studio, tables.NoDate)
	problems := append(read.Problems, late...)
	if opts.problems != "" {
		if err := writeProblems(opts.problems, problems); err != nil {
			return fail(exitNotWritten, err)
		}
	}
	switch {
	case opts.json:
		err = writeCheckJSON(term.out, read.Reading, problems)
	case !opts.quiet:
		writeCheck(term.out, read.Reading, problems)
	}
	if err != nil {
		return err
	}
	if err := read.Reading.NothingUsable(); err != nil {
		return fail(exitNothing, err)
	}
	return nil
}

func writeProblems(path string, problems []tables.Problem) error {
	var buf bytes.Buffer
	if err := plain.Problems(&buf, problems); err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return fmt.Errorf("write the problems table: %w; choose a new file", err)
	}
	_, err = f.Write(buf.Bytes())
	return errors.Join(err, f.Close())
}

func writeCheck(w io.Writer, reading ingest.Reading, problems []tables.Problem) {
	for _, f := range reading.Files {
		if f.Unreadable != "" {
			fmt.Fprintf(w, "%s: cannot be read: %s\n\n", f.Name, f.Unreadable)
			continue
		}
		if f.Skipped != "" {
			fmt.Fprintf(w, "%s: not read: %s\n\n", f.Name, f.Skipped)
		}
		for _, s := range f.Sheets {
			writeSheet(w, f.Name, s)
		}
	}
	for i, p := range problems {
		if i == shownProblems {
			fmt.Fprintf(w, "… and %d more; --problems FILE.csv writes them all.\n", len(problems)-i)
			break
		}
		fmt.Fprintf(w, "%s  %s: %s", place(p), p.Severity, p.Message)
		if p.Value != "" {
			fmt.Fprintf(w, " (read: %s)", clip(p.Value, 40))
		}
		fmt.Fprintf(w, ". Mend: %s.\n", p.Mend)
	}
	read, used, aside, noData := reading.Rows()
	fmt.Fprintf(w, "\n%d rows read = %d used + %d set aside + %d no data. %d problems and notes.\n", read, used, aside, noData, len(problems))
}

func writeSheet(w io.Writer, file string, s ingest.Sheet) {
	name := file
	if s.Name != "" {
		name += ", sheet " + s.Name
	}
	if s.Hidden {
		name += " (hidden)"
	}
	if s.Table == "" {
		fmt.Fprintf(w, "%s: not used: %s\n\n", name, cmp.Or(s.Why, "no table of ours was recognised"))
		return
	}
	fmt.Fprintf(w, "%s: %s, header in row %d; %d rows read, %d used, %d set aside, %d no data\n", name, s.Table, s.HeaderRow, s.RowsRead, s.RowsUsed, s.RowsAside, s.RowsNoData)
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, c := range s.Columns {
		became := c.Column
		if became == "" {
			became = "not used"
		} else if c.Unit != "" {
			became += ", in " + c.Unit
		}
		fmt.Fprintf(tw, "  %s\t%s\t%s\n", c.Letter, clip(oneLine(c.Header), 40), became)
	}
	tw.Flush()
	fmt.Fprintln(w)
}

func place(p tables.Problem) string {
	parts := []string{p.File, p.Sheet, p.Cell}
	var some []string
	for _, s := range parts {
		if s != "" {
			some = append(some, s)
		}
	}
	return strings.Join(some, " ")
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

func clip(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return s
}

// writeCheckJSON writes the same facts for machines.
func writeCheckJSON(w io.Writer, reading ingest.Reading, problems []tables.Problem) error {
	read, used, aside, noData := reading.Rows()
	account := map[string]any{
		"rows":     map[string]int{"read": read, "used": used, "set_aside": aside, "not_data": noData},
		"files":    reading.Files,
		"problems": problems,
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(account)
}
