// Moldwright turns the spreadsheets in which a ceramic studio logs its plaster
// pours and slip casts into a report: how wall thickness follows dwell and mold
// age, how many casts each mold has left, which molds wear early, where the
// plaster goes, and what to do next.
//
// Usage:
//
//	moldwright report -o OUT PATH…     read files and folders, write a report folder
//	moldwright plan -o OUT PATH…       plan orders day by day, write a plan folder
//	moldwright check PATH…             say what is usable and what is not
//	moldwright demo -o OUT             write the report of an invented studio
//	moldwright template -o FILE.xlsx   write a blank log workbook
//	moldwright version                 say which build this is
//
// Exit codes: 0 done; 1 internal error; 2 the command line is wrong; 3 nothing
// usable in the input; 4 the output could not be written; 70 the account of the
// rows does not close, which is an error of the program; 130 interrupted.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"

	"moldwright/pipeline/room"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	settled := room.Settle()
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	settled()
	stop()
	os.Exit(code)
}
