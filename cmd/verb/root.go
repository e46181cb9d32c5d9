// Package verb holds the verbs of the program, a file each, over what they share: the
// streams, how files are read and kept, and how a database is opened.
//
// Place in the pipeline: called by cmd/shortfall; calls ingest, audit and report, and turns
// what they return into files, a summary and an exit code.
package verb

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"runtime"
	"runtime/debug"

	"github.com/spf13/cobra"

	"shortfall/cmd/console"
	"shortfall/cmd/exit"
	"shortfall/cmd/flags"
	"shortfall/cmd/job"
	"shortfall/ingest"
	"shortfall/ingest/casebook"
)

// app is what the verbs share: the three streams and the global flags.
type app struct {
	in       io.Reader
	out, err io.Writer
	quiet    bool
	summary  io.Writer     // where summaries go: out, or err where the results go to out
	started  bool          // a verb began; errors before that are errors of usage
	lone     bool          // spreadsheets were given and no verb
	typed    *bufio.Reader // what is typed at the terminal, once something was asked
	Program
}

// Program is what a run may be given from outside.
type Program struct {
	Version string
	// Read reads a file; nil: ingest.Read.
	Read func(context.Context, string, ingest.Options) (*casebook.Batch, error)
	// Ending is told when the outputs stand; nil: nobody wants to know.
	Ending *exit.Ending
}

// Run is the whole program but for the process: it returns the exit code.
func (p Program) Run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	if p.Read == nil {
		p.Read = ingest.Read
	}
	if p.Ending == nil {
		p.Ending = &exit.Ending{}
	}
	out, errs := console.NewVisible(stdout, "standard output"), console.NewVisible(stderr, "standard error")
	a := &app{in: stdin, out: out, err: errs, summary: out, Program: p}
	code := a.run(ctx, args)
	for _, v := range []*console.Visible{out, errs} {
		if err := v.Lost(); err != nil && code < exit.CodeUnreadable { // a verb need not look whether what it prints arrives
			fmt.Fprintf(errs, "shortfall: %v\n", err)
			code = exit.CodeUnreadable
		}
	}
	return code
}

func (a *app) run(ctx context.Context, args []string) (code int) {
	defer func() {
		if p := recover(); p != nil {
			a.panicked(p)
			code = exit.CodeInternal
		}
	}()
	root := a.root()
	args, err := a.meant(root, args)
	cmd := root
	if err == nil {
		root.SetArgs(args)
		cmd, err = root.ExecuteContextC(ctx)
	}
	if err == nil {
		return exit.CodeOK
	}
	if ctx.Err() != nil && !a.Ending.Finished() {
		err = ctx.Err() // whatever it led to, the interruption came first
	}
	code = exit.CodeOf(err, a.started)
	a.report(cmd, err, code)
	return code
}

// Commands are the verbs, for who looks them over.
func (p Program) Commands() *cobra.Command { return (&app{Program: p}).root() }

func (a *app) root() *cobra.Command {
	cobra.EnableCommandSorting = false
	cobra.MousetrapHelpText = "" // a double click opens the page
	root := &cobra.Command{
		Use:   "shortfall",
		Short: "Audit completed clear-aligner cases",
		Long: `shortfall reads anonymised spreadsheets of completed clear-aligner cases and
reports how much of each planned tooth movement was expressed, by tooth,
movement and attachment style, with intervals and refinement counts.

It supports, and never replaces, the judgement of a licensed clinician and
local clinical-governance and data-protection rules. Nothing leaves the machine,
unless --db names a server.

Exit codes: 0 ok; 1 ran, but the data had errors; 2 usage; 3 unreadable input or
unwritable output; 4 database; 5 internal error; 130 interrupted.`,
		Example: `  shortfall
  shortfall template -o cases.xlsx
  shortfall audit cases.xlsx --pdf audit.pdf
  shortfall ingest --db clinic.db cases.xlsx
  shortfall audit --db clinic.db --pdf audit.pdf --json results.json`,
		Version:            a.Version,
		SilenceUsage:       true,
		SilenceErrors:      true,
		CompletionOptions:  cobra.CompletionOptions{HiddenDefaultCmd: true},
		DisableSuggestions: true, // ours come in one line, see suggest.go
	}
	root.SetIn(a.in)
	root.SetOut(a.out)
	root.SetErr(a.err)
	root.SetVersionTemplate("shortfall {{.Version}}\n")
	root.SetFlagErrorFunc(flags.Suggest)
	root.Args = func(cmd *cobra.Command, args []string) error {
		if len(args) > 0 {
			return unknownCommand(cmd, args[0])
		}
		return nil
	}
	page := &openRun{app: a}
	page.flags(root.Flags())
	for _, name := range []string{"no-browser", "stay"} {
		_ = root.Flags().MarkHidden(name) // they are open's, and there they are explained
	}
	root.RunE = a.begun(func(cmd *cobra.Command, _ []string) error { return page.run(cmd.Context(), "") })
	root.PersistentFlags().BoolVarP(&a.quiet, "quiet", "q", false, "print nothing unless something is wrong")
	root.SetHelpCommand(helpCommand())
	for _, verb := range a.verbs() {
		verb.RunE = a.begun(verb.RunE)
		root.AddCommand(verb)
	}
	return root
}

// begun notes that the arguments were accepted: an error before is one of usage.
func (a *app) begun(verb func(*cobra.Command, []string) error) func(*cobra.Command, []string) error {
	return func(cmd *cobra.Command, args []string) error {
		a.started = true
		return verb(cmd, args)
	}
}

// helpCommand is cobra's own but for unknown words, which are errors here.
func helpCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "Explain a command",
		RunE: func(cmd *cobra.Command, args []string) error {
			about, rest, err := cmd.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return unknownCommand(about, rest[0])
			}
			return about.Help()
		},
	}
}

// verbs in the order in which they are met.
func (a *app) verbs() []*cobra.Command {
	return []*cobra.Command{
		a.openCommand(), a.templateCommand(), a.mapCommand(), a.pseudonymiseCommand(), a.ingestCommand(), a.auditCommand(), a.replayCommand(),
		a.caseCommand(), a.recordsCommand(), a.practiceCommand(), a.removeCommand(), a.restoreCommand(), a.exportCommand(),
		a.backupCommand(), a.fleetCommand(), a.profilesCommand(), a.explainCommand(), a.schemaCommand(), a.versionCommand(),
	}
}

// report prints an error once, with the command it came from.
func (a *app) report(cmd *cobra.Command, err error, code int) {
	switch {
	case exit.Silent(err), code == exit.CodeInterrupted: // of which the process tells
	default:
		fmt.Fprintf(a.err, "%s: %v\n", cmd.CommandPath(), err)
		if code == exit.CodeUsage {
			fmt.Fprintf(a.err, "Try \"%s --help\".\n", cmd.CommandPath())
		}
	}
}

// panicked prints what a maintainer needs: the error of the runtime, or only
// the type of another value (it could hold a cell's text), and the stack.
func (a *app) panicked(p any) {
	what := fmt.Sprintf("%T", p)
	if e, ok := p.(runtime.Error); ok {
		what = e.Error()
	}
	fmt.Fprintf(a.err, "shortfall: internal error: %s. No output was written; please report it with the lines below, they hold no data.\n%s",
		what, debug.Stack())
}

// How counts are said, here as on the page.
var plural, countsText = job.Plural, job.CountsText
