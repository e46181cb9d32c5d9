package verb

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"shortfall/cmd/exit"
	"shortfall/cmd/output"
	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlite"
)

func (a *app) backupCommand() *cobra.Command {
	var db, out string
	cmd := &cobra.Command{
		Use:   "backup --db FILE -o COPY",
		Short: "Copy a database, and put a copy back",
		Long: `backup copies a database as it is at one moment, also while another program uses it,
and reads the copy back: every page is checked and every row is counted before it
gets its name. A file that exists is never replaced. The copy holds what the
database holds, and is to be kept as safe.`,
		Example: `  shortfall backup --db clinic.db -o clinic-january.backup`,
		Args:    noArguments,
		RunE:    func(cmd *cobra.Command, _ []string) error { return a.backUp(cmd.Context(), db, out) },
	}
	cmd.PersistentFlags().StringVar(&db, "db", "", "database made by ingest")
	cmd.Flags().SortFlags = false
	cmd.Flags().StringVarP(&out, "out", "o", "", "write the copy to this new `FILE`")
	cmd.AddCommand(&cobra.Command{
		Use:   "restore --db FILE COPY",
		Short: "Put a copy in the place of a database",
		Long: `restore reads a copy through and puts it in the place of the database, which need
not exist. What the database held before is copied beside it first. Another program
that has the database open finds the copy in its place. A case that "remove" took
out comes back with "shortfall restore".`,
		Example: `  shortfall backup restore --db clinic.db clinic-january.backup`,
		Args:    oneArgument("a copy"),
		RunE:    func(cmd *cobra.Command, args []string) error { return a.putBack(cmd.Context(), db, args[0]) },
	})
	return cmd
}

func (a *app) backUp(ctx context.Context, path, to string) error {
	switch {
	case path == "":
		return errNoDatabase
	case to == "":
		return exit.Usage("needs a name for the copy: -o COPY")
	}
	if err := output.Check([]output.File{{Flag: "-o", Path: to, New: true}}, []string{path}, false); err != nil {
		return err
	}
	db, err := a.openExisting(ctx, path)
	if err != nil {
		return err
	}
	defer db.Close()
	made, err := store.Backup(ctx, db, to, nil)
	if err == nil && !a.quiet {
		fmt.Fprintf(a.summary, "Written: %s, read back: %s, %s\n", to, plural(made.Cases, "case"), plural(made.Movements, "movement"))
	}
	return err
}

func (a *app) putBack(ctx context.Context, path, from string) error {
	if path == "" {
		return errNoDatabase
	}
	done, err := sqlite.Restore(ctx, from, path, nil, sqlite.OnWait(a.waits(path)))
	if err != nil || a.quiet {
		return err
	}
	fmt.Fprintf(a.summary, "%s: now the copy %s, %s, %s\n", path, from, plural(done.Cases, "case"), plural(done.Movements, "movement"))
	switch {
	case done.Broken:
		fmt.Fprintf(a.summary, "As it was before, damaged, it is in %s\n", done.Aside)
	case done.Aside != "":
		fmt.Fprintf(a.summary, "As it was before, it is in %s\n", done.Aside)
	}
	return nil
}
