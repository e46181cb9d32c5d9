// Command shortfall audits completed clear-aligner cases: spreadsheets in, a
// defensible PDF audit out.
//
// Place in the pipeline: the outermost layer. It reads flags, calls ingest,
// audit and report, and turns what they return into files, a summary and an
// exit code. It holds no statistics and no layout. The verbs are cmd/verb, a file each;
// here is the process: its streams, its signals and its version.
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
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
	"time"

	"shortfall/cmd/console"
	"shortfall/cmd/exit"
	"shortfall/cmd/verb"
	"shortfall/ingest/scratch"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, func() {
		stop() // a second Ctrl-C ends the program at once
		time.Sleep(patience)
		scratch.Abandon()
		fmt.Fprintln(os.Stderr, exit.InterruptedText)
		os.Exit(exit.CodeInterrupted)
	})
	os.Exit(console.Linger(run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr), os.Stdin, os.Stderr))
}

// patience is how long a verb may take to end after the first Ctrl-C. A step that
// looks at its context too seldom is cut off then, which harms no more than a
// kill: a database rolls back, outputs are put in place whole or not at all, the
// private database and the private folders of outputs are removed.
const patience = 300 * time.Millisecond

// run is the program but for the process.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	return verb.Program{Version: version}.Run(ctx, args, stdin, stdout, stderr)
}
