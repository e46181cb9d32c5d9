package verb

import (
	"context"
	"fmt"
	"os/exec"
	"path/filepath"
	"runtime"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"shortfall/cmd/console"
	"shortfall/cmd/exit"
	"shortfall/cmd/keep"
	"shortfall/cmd/page"
)

// openRun is one run of the open verb.
type openRun struct {
	*app
	noBrowser, stay bool
}

func (a *app) openCommand() *cobra.Command {
	r := &openRun{app: a}
	cmd := &cobra.Command{
		Use:   "open [DATABASE]",
		Short: "Open the page: the whole job without a terminal",
		Long: `open serves the page on this machine only and opens the browser; shortfall alone does
the same. Drop spreadsheets on it, answer what they leave open, look at the audit and
save the report. New practices are kept in one folder of yours, which the page names.

The address holds a key that opens one window. Where the page is open already, another
window of it is opened. The program ends a while after its last window was closed, or
with Ctrl-C; what is being read then is rolled back.`,
		Example: `  shortfall open
  shortfall open clinic.db
  shortfall open --no-browser`,
		Args: atMostOne("a database"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return r.run(cmd.Context(), append(args, "")[0])
		},
	}
	cmd.Flags().SortFlags = false
	r.flags(cmd.Flags())
	return cmd
}

func (r *openRun) flags(f *pflag.FlagSet) {
	f.BoolVar(&r.noBrowser, "no-browser", false, "print the address with its key, and open no browser")
	f.BoolVar(&r.stay, "stay", false, "go on after the last window was closed")
}

func (r *openRun) run(ctx context.Context, database string) error {
	if database != "" {
		if serverOf(database) != nil {
			return exit.Usage("opens the records in a file; those of a server are read and audited with --db of the other verbs")
		}
		db, err := r.openExisting(ctx, database) // a mistyped name must not make an empty one
		if err != nil {
			return err
		}
		if err := db.Close(); err != nil {
			return err
		}
		if database, err = filepath.Abs(database); err != nil {
			return exit.Unreadable(err)
		}
	}
	home, err := keep.Open()
	if err != nil {
		return exit.Unreadable(err)
	}
	claim, address, err := home.Claim(ctx)
	if err != nil {
		return exit.Unreadable(err)
	}
	if claim == nil {
		if database != "" {
			if err := home.Remember(database); err != nil {
				return exit.Unreadable(err)
			}
			address += page.At(database)
		}
		r.show(address)
		return nil
	}
	defer claim.Release()
	err = page.Serve(ctx, page.Options{Version: r.Version, Home: home, Open: database, Show: r.show, Announce: claim.Announce, Out: r.err, Stay: r.stay})
	if err != nil {
		return exit.Unreadable(err)
	}
	return ctx.Err()
}

// show opens the browser. Where there is none the address is printed: it holds the key,
// so it goes to the terminal of whoever started the program and nowhere else.
func (r *openRun) show(address string) {
	if !r.noBrowser {
		if err := browse(address); err == nil {
			if !r.quiet {
				fmt.Fprintln(r.summary, "The page is open in the browser; closing its last window ends the program.")
			}
			console.LeaveConsole()
			return
		}
	}
	fmt.Fprintf(r.summary, "Open this address in a browser on this machine: %s\n", address)
}

// browse asks the system for its browser.
func browse(address string) error {
	name, args := "xdg-open", []string{address}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", address}
	}
	cmd := exec.Command(name, args...)
	if err := cmd.Start(); err != nil {
		return err
	}
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	select {
	case err := <-ended: // at once, where the system has no browser
		return err
	case <-time.After(browserTime):
		return nil
	}
}

// browserTime is how long the system may take to say that it has no browser.
const browserTime = 2 * time.Second
