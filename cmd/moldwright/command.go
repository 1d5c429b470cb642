package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"

	"moldwright/pipeline/ingest"
)

// Exit codes, told apart so that scripts can act on them.
const (
	exitDone        = 0
	exitInternal    = 1
	exitUsage       = 2
	exitNothing     = 3
	exitNotWritten  = 4
	exitAccount     = 70 // rows read are not used + set aside + no data: our error
	exitInterrupted = 130
)

// failure is an error with the exit code it calls for.
type failure struct {
	code int
	err  error
}

func (f *failure) Error() string { return f.err.Error() }
func (f *failure) Unwrap() error { return f.err }

func fail(code int, err error) error { return &failure{code, err} }

// terminal is where a command writes: results to out, the rest to err.
type terminal struct {
	out io.Writer
	err io.Writer
}

// command is one of the program's commands. setup declares its flags and
// returns what runs once they are parsed.
type command struct {
	name    string
	args    string
	summary string
	about   string
	setup   func(flags *pflag.FlagSet) func(ctx context.Context, args []string, term terminal) error
}

func commands() []command {
	return []command{reportCommand(), planCommand(), checkCommand(), demoCommand(), templateCommand(), versionCommand()}
}

// run is the program as a function of its arguments; it returns the exit code.
func run(ctx context.Context, args []string, out, errOut io.Writer) int {
	if len(args) == 0 {
		fmt.Fprint(errOut, overview())
		return exitUsage
	}
	switch args[0] {
	case "help", "--help", "-h":
		fmt.Fprint(out, overview())
		return exitDone
	case "--version":
		args = append([]string{"version"}, args[1:]...)
	}
	for _, c := range commands() {
		if c.name == args[0] {
			return c.run(ctx, args[1:], terminal{out, errOut})
		}
	}
	fmt.Fprintf(errOut, "moldwright: there is no command %q\n\n%s", args[0], overview())
	return exitUsage
}

func (c command) run(ctx context.Context, args []string, term terminal) int {
	flags := pflag.NewFlagSet(c.name, pflag.ContinueOnError)
	flags.SetOutput(io.Discard)
	flags.SortFlags = false
	help := flags.BoolP("help", "h", false, "say how the command is used")
	action := c.setup(flags)
	if err := flags.Parse(args); err != nil {
		fmt.Fprintf(term.err, "moldwright %s: %v\nusage: %s\n", c.name, err, c.usage())
		return exitUsage
	}
	if *help {
		fmt.Fprintf(term.out, "%s\n\nusage: %s\n\n%s", c.about, c.usage(), flags.FlagUsages())
		return exitDone
	}
	err := action(ctx, flags.Args(), term)
	if err == nil {
		return exitDone
	}
	var f *failure
	var account *ingest.AccountError
	switch {
	case errors.Is(err, context.Canceled):
		fmt.Fprintf(term.err, "moldwright %s: interrupted; nothing was changed\n", c.name)
		return exitInterrupted
	case errors.As(err, &account):
		fmt.Fprintf(term.err, "moldwright %s: %v\nThis is an error of the program, not of your files; nothing was written. Please report it with this line, and with the file if you may.\n", c.name, printable(account.Error()))
		return exitAccount
	case errors.As(err, &f):
		fmt.Fprintf(term.err, "moldwright %s: %v\n", c.name, printable(f.Error()))
		if f.code == exitUsage {
			fmt.Fprintf(term.err, "usage: %s\n", c.usage())
		}
		return f.code
	}
	fmt.Fprintf(term.err, "moldwright %s: internal error: %v\n", c.name, printable(err.Error()))
	return exitInternal
}

func (c command) usage() string { return strings.TrimSpace("moldwright " + c.name + " " + c.args) }

func overview() string {
	var b strings.Builder
	b.WriteString("moldwright reads the spreadsheets of a slip-casting studio and writes a report.\n\n")
	for _, c := range commands() {
		fmt.Fprintf(&b, "  %-40s %s\n", c.usage(), c.summary)
	}
	b.WriteString("\nSay moldwright COMMAND --help for more.\n")
	b.WriteString("Exit codes: 0 done, 1 internal error, 2 usage, 3 nothing usable in the input, 4 output not written,\n70 the account of the rows does not close (an error of the program), 130 interrupted.\n")
	return b.String()
}
