package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"runtime"

	"github.com/spf13/pflag"

	"moldwright/reports/runrecord"
)

func versionCommand() command {
	return command{
		name: "version", args: "[--json]", summary: "say which build this is",
		about: "Says the version, the commit of the source, the Go that built it, and the libraries in it: what to name when you report an error. run.json records the same.",
		setup: func(flags *pflag.FlagSet) func(context.Context, []string, terminal) error {
			asJSON := flags.Bool("json", false, "write it as JSON")
			return func(_ context.Context, args []string, term terminal) error {
				if len(args) > 0 {
					return fail(exitUsage, errors.New("version takes no arguments"))
				}
				built := runrecord.Built()
				if *asJSON {
					enc := json.NewEncoder(term.out)
					enc.SetIndent("", "  ")
					return enc.Encode(built)
				}
				commit := built.Commit
				if commit == "" {
					commit = "not recorded"
				}
				_, err := fmt.Fprintf(term.out, "moldwright %s for %s/%s\ncommit %s\nbuilt by %s with arrow %s, gonum %s, excelize %s\n",
					built.Moldwright, runtime.GOOS, runtime.GOARCH, commit, built.Go, built.Arrow, built.Gonum, built.Excelize)
				return err
			}
		},
	}
}
