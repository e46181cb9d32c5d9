package verb

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"shortfall/cmd/exit"
	"shortfall/cmd/job"
	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// removalRun is one run of remove or restore.
type removalRun struct {
	*app
	db, practice, reason string
	erase                bool
}

func (a *app) removeCommand() *cobra.Command {
	r := &removalRun{app: a}
	cmd := &cobra.Command{
		Use:   "remove --db FILE (FILE|CASE) {--reason TEXT | --erase}",
		Short: "Take a file or a case out of the audit",
		Long: `remove takes a case out of the audit, now and in later imports, until "restore";
its records stay in the database. Of a file it undoes the import: its records go
to the history, and what they had replaced comes back; a file whose records a
later one gave again is removed after that one. A file is named as "records" lists
it, or by the first letters of its sha256.

With --erase the records and their history are deleted, and a later import leaves
an erased case out; of it only a hash stays, and no reason. Copies made elsewhere,
backups among them, are yours to delete.`,
		Example: `  shortfall remove --db clinic.db MQ-001 --reason "asked by the patient"
  shortfall remove --db clinic.db january.csv --reason "read with the wrong mapping"
  shortfall remove --db clinic.db MQ-002 --erase`,
		Args: oneArgument("a file or a case"),
		RunE: func(cmd *cobra.Command, args []string) error { return r.remove(cmd.Context(), args[0]) },
	}
	r.flags(cmd)
	cmd.Flags().StringVar(&r.reason, "reason", "", "why, kept with the record of it; not with --erase")
	cmd.Flags().BoolVar(&r.erase, "erase", false, "delete the records and their history")
	return cmd
}

func (a *app) restoreCommand() *cobra.Command {
	r := &removalRun{app: a}
	cmd := &cobra.Command{
		Use:     "restore --db FILE CASE",
		Short:   "Take a removed case back into the audit",
		Long:    `restore takes a case back that "remove" took out. A removed file is imported again with "ingest".`,
		Example: `  shortfall restore --db clinic.db MQ-001`,
		Args:    oneArgument("a case"),
		RunE:    func(cmd *cobra.Command, args []string) error { return r.restore(cmd.Context(), args[0]) },
	}
	r.flags(cmd)
	return cmd
}

func (r *removalRun) flags(cmd *cobra.Command) {
	cmd.Flags().SortFlags = false
	cmd.Flags().StringVar(&r.db, "db", "", "database made by ingest")
	cmd.Flags().StringVar(&r.practice, "practice", "", practiceOfCases)
}

// practiceOfCases is the help of --practice where cases are named.
const practiceOfCases = "`CODE` of the practice of the cases, where several use the pseudonym; - for the one without a name"

func (r *removalRun) remove(ctx context.Context, what string) error {
	switch {
	case r.db == "":
		return errNoDatabase
	case strings.TrimSpace(r.reason) == "" && !r.erase:
		return exit.Usage("needs a reason, which is kept: --reason TEXT")
	}
	db, err := r.openExisting(ctx, r.db)
	if err != nil {
		return err
	}
	defer db.Close()
	file, isFile, err := r.file(ctx, db, what)
	if err != nil {
		return err
	}
	if isFile {
		return r.removeFile(ctx, db, file)
	}
	k, err := r.named(ctx, db, what)
	if err != nil {
		return err
	}
	if r.erase {
		err = job.Erase(db, func() error { return db.EraseCase(ctx, k) })
	} else {
		err = db.RemoveCase(ctx, k, r.reason)
	}
	if err == nil && !r.quiet {
		fmt.Fprintf(r.summary, "%s: the case is %s\n", r.db, map[bool]string{true: "erased, and stays out of later imports; no reason is kept", false: "out of the audit until \"shortfall restore\""}[r.erase])
	}
	return err
}

func (r *removalRun) removeFile(ctx context.Context, db store.Store, f casebook.ImportedFile) (err error) {
	var done store.Removal
	if r.erase {
		err = job.Erase(db, func() error { done, err = db.EraseFile(ctx, f.SHA256); return err })
	} else {
		done, err = db.RemoveFile(ctx, f.SHA256, r.reason)
	}
	if err == nil && !r.quiet {
		fmt.Fprintf(r.summary, "%s: %s of %s taken out, %s it had replaced came back\n", r.db, plural(done.Records, "record"), f.Name, plural(done.Restored, "record"))
	}
	return err
}

// file finds the imported file that a person names; a word that could be a
// case too is asked about.
func (r *removalRun) file(ctx context.Context, db store.Store, what string) (f casebook.ImportedFile, ok bool, err error) {
	files, err := db.Files(ctx)
	if err != nil {
		return f, false, err
	}
	const enough = 8 // letters of a hash
	n := 0
	for _, x := range files {
		byHash := len(what) >= enough && strings.HasPrefix(x.SHA256, strings.ToLower(what))
		if x.Name == what || byHash {
			if f.SHA256 != x.SHA256 {
				n++
			}
			f, ok = x, true
		}
	}
	if n > 1 {
		return f, false, exit.Usage("%d files are named so: give the first letters of the sha256 that \"shortfall records\" shows", n)
	}
	if ok && f.Name == what {
		list, err := db.Cases(ctx)
		if err != nil {
			return f, false, err
		}
		for _, c := range list {
			if c.ID == what {
				return f, false, exit.Usage("a file and a case are named so: give the first letters of the sha256 of the file")
			}
		}
	}
	return f, ok, nil
}

func (r *removalRun) named(ctx context.Context, db store.Store, id string) (casebook.CaseKey, error) {
	list, err := db.Cases(ctx)
	if err != nil {
		return casebook.CaseKey{}, err
	}
	return caseNamed(keysOf(list), id, r.practice, r.db)
}

func (r *removalRun) restore(ctx context.Context, id string) error {
	db, err := r.openExisting(ctx, r.db)
	if err != nil {
		return err
	}
	defer db.Close()
	k, err := r.named(ctx, db, id)
	if err != nil {
		return err
	}
	if err := db.RestoreCase(ctx, k); err != nil {
		return err
	}
	if !r.quiet {
		fmt.Fprintf(r.summary, "%s: the case is in the audit again\n", r.db)
	}
	return nil
}
