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
// Where several apply, the highest wins. A run that is interrupted has written none of its
// outputs; once all of them stand it is finished and says so, whatever comes then.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"sync"
	"syscall"
	"time"

	"shortfall/cmd/console"
	"shortfall/cmd/exit"
	"shortfall/cmd/verb"
	"shortfall/ingest/scratch"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	var ending exit.Ending
	interrupted := sync.OnceFunc(func() { fmt.Fprintln(os.Stderr, exit.InterruptedText) })
	context.AfterFunc(ctx, func() {
		stop() // a second Ctrl-C ends the program at once
		time.Sleep(patience)
		if ending.Finished() {
			return
		}
		scratch.Abandon()
		interrupted()
		os.Exit(exit.CodeInterrupted)
	})
	program := verb.Program{Version: version, Ending: &ending}
	code := program.Run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	if code == exit.CodeInterrupted {
		interrupted()
	}
	os.Exit(console.Linger(code, os.Stdin, os.Stderr))
}

// patience is how long a verb may take to end after the first Ctrl-C. A step that
// looks at its context too seldom is cut off then, which harms no more than a
// kill: a database rolls back, outputs are put in place whole or not at all, the
// private database and the private folders of outputs are removed.
const patience = 300 * time.Millisecond
