// Command shortfall audits completed clear-aligner cases: spreadsheets in, a
// defensible PDF audit out.
//
// Place in the pipeline: the outermost layer. It reads flags, calls ingest,
// audit and report, and turns what they return into files, a summary and an
// exit code. It holds no statistics and no layout. One file a verb.
//
// # Exit codes
//
//	0    ok
//	1    ran, but the data had errors (rejected rows, a refused file, nothing to audit)
//	2    usage: an unknown command or flag, a wrong value, an output that must not be replaced
//	3    an input could not be read, or an output could not be written
//	4    database
//	5    internal error (a panic, caught)
//	130  interrupted (Ctrl-C); what was being written is rolled back
//
// Where several apply, the highest wins.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // a second Ctrl-C ends the program at once
	os.Exit(run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
