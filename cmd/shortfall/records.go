package main

import (
	"context"
	"fmt"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

func (a *app) recordsCommand() *cobra.Command {
	var db string
	cmd := &cobra.Command{
		Use:   "records --db FILE [CASE...]",
		Short: "List what a database holds: files, rejected rows, or the records of a case with their history",
		Long: `Without a case, records lists the imported files with their row counts and the
rejected rows with their reasons. With a case it lists the records of the case
with the file, sheet and row they came from, and the versions that later files
corrected.`,
		Example: `  shortfall records --db clinic.db
  shortfall records --db clinic.db MQ-001`,
		RunE: func(cmd *cobra.Command, args []string) error {
			opened, err := a.openExisting(cmd.Context(), db)
			if err != nil {
				return err
			}
			defer opened.Close()
			if len(args) == 0 {
				return a.listFiles(cmd.Context(), opened)
			}
			for _, id := range args {
				if err := a.listCase(cmd.Context(), opened, id); err != nil {
					return err
				}
			}
			return nil
		},
	}
	cmd.Flags().StringVar(&db, "db", "", "database made by ingest")
	_ = cmd.MarkFlagRequired("db")
	return cmd
}

func (a *app) listFiles(ctx context.Context, db *store.DB) error {
	files, err := db.Files(ctx)
	if err != nil {
		return err
	}
	for _, f := range files {
		var c casebook.Counts
		for _, s := range f.Sheets {
			c = c.Add(s.Counts)
		}
		fmt.Fprintf(a.out, "%s%s\n  sha256 %s\n  %s\n", f.Name, inventedMark(f.Invented), f.SHA256, countsText(c))
	}
	rejected, err := db.Rejected(ctx)
	if err != nil {
		return err
	}
	for _, r := range rejected {
		for _, reason := range r.Reasons {
			fmt.Fprintf(a.out, "rejected: %v [%s]\n", reason, reason.Rule)
		}
	}
	return nil
}

func (a *app) listCase(ctx context.Context, db *store.DB, id string) error {
	current, err := db.Current(ctx, id)
	if err != nil {
		return err
	}
	history, err := db.History(ctx, id)
	if err != nil {
		return err
	}
	if len(current)+len(history) == 0 {
		return usage("the database has no case %s", id)
	}
	w := tabwriter.NewWriter(a.out, 0, 0, 2, ' ', 0)
	for _, v := range current {
		fmt.Fprintf(w, "%s\t%s\t%s, %s row %d\t\n", v.Kind, v.Value, v.File.Name, v.Source.Sheet, v.Source.Row)
	}
	for _, v := range history {
		fmt.Fprintf(w, "%s\t%s\t%s, %s row %d\tcorrected by %s\n",
			v.Kind, v.Value, v.File.Name, v.Source.Sheet, v.Source.Row, v.ReplacedBy.Name)
	}
	return w.Flush()
}

func inventedMark(invented bool) string {
	if invented {
		return " (invented data)"
	}
	return ""
}

// countsText writes the counts so that the reader can add them up.
func countsText(c casebook.Counts) string {
	return fmt.Sprintf("%d rows read = %d accepted + %d rejected + %d blank", c.Read, c.Accepted, c.Rejected, c.Blank)
}
