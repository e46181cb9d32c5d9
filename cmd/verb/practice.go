package verb

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"shortfall/cmd/exit"
	"shortfall/cmd/job"
	"shortfall/ingest/values"
)

func (a *app) practiceCommand() *cobra.Command {
	var db string
	cmd := &cobra.Command{
		Use:   "practice --db FILE",
		Short: "List the practices of a database, or give one another name",
		Long: `practice lists the practices that a database holds, with their cases. Two
practices may use the same pseudonyms: a case is known by both.`,
		Example: `  shortfall practice --db clinic.db`,
		Args:    noArguments,
		RunE:    func(cmd *cobra.Command, _ []string) error { return a.listPractices(cmd.Context(), db) },
	}
	cmd.PersistentFlags().StringVar(&db, "db", "", "database made by ingest")
	cmd.AddCommand(&cobra.Command{
		Use:   "rename --db FILE OLD NEW",
		Short: "Give a practice another name",
		Long: `rename moves all cases of a practice to another name; "" is the practice without
one. It is refused where both have a case of the same pseudonym, since two
patients would become one.`,
		Example: `  shortfall practice rename --db clinic.db EASTERLY EAST`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 2 {
				return exit.Usage(`needs two names, the old and the new; "" is the practice without one`)
			}
			return nil
		},
		RunE: a.begun(func(cmd *cobra.Command, args []string) error {
			return a.renamePractice(cmd.Context(), db, args[0], args[1])
		}),
	})
	return cmd
}

func (a *app) listPractices(ctx context.Context, path string) error {
	db, err := a.openExisting(ctx, path)
	if err != nil {
		return err
	}
	defer db.Close()
	list, err := db.Cases(ctx)
	if err != nil {
		return err
	}
	cases := map[string]int{}
	var order []string
	for _, c := range list {
		if cases[c.Practice]++; cases[c.Practice] == 1 {
			order = append(order, c.Practice)
		}
	}
	for _, p := range order {
		fmt.Fprintf(a.out, "%s: %s\n", practiceName(p), plural(cases[p], "case"))
	}
	return nil
}

func practiceName(code string) string {
	if code == "" {
		return "(the practice without a name)"
	}
	return code
}

func (a *app) renamePractice(ctx context.Context, path, from, to string) error {
	if path == "" {
		return errNoDatabase
	}
	from = values.TypedCode(from)
	to, err := job.PracticeCode(to)
	if err != nil {
		return exit.Usage("%w", err)
	}
	if from == to {
		return exit.Usage("the two names are the same")
	}
	db, err := a.openExisting(ctx, path)
	if err != nil {
		return err
	}
	defer db.Close()
	n, err := db.RenamePractice(ctx, from, to)
	if err != nil {
		return err
	}
	if !a.quiet {
		fmt.Fprintf(a.summary, "%s: %s of %s now of %s\n", path, plural(n, "case"), practiceName(from), practiceName(to))
	}
	return nil
}
