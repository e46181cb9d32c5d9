package verb

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"shortfall/cmd/exit"
	"shortfall/cmd/job"
	"shortfall/ingest/casebook"
	"shortfall/ingest/rules"
	"shortfall/ingest/store"
)

func (a *app) recordsCommand() *cobra.Command {
	var db, practice string
	var cases, totals bool
	cmd := &cobra.Command{
		Use:   "records --db FILE [CASE... | --cases | --totals]",
		Short: "List the files, rejected rows and records in a database",
		Long: `Without a case, records lists the imported files with their row counts and the
rejected rows with their reasons. With a case it lists the records of the case
with the file, sheet and row they came from, and the versions that later files
corrected. --totals gives a first answer, from sums that the database makes
itself: of a million movements on a server only the sums of each case travel.`,
		Example: `  shortfall records --db clinic.db
  shortfall records --db clinic.db --totals
  shortfall records --db clinic.db MQ-001`,
		RunE: func(cmd *cobra.Command, args []string) error {
			opened, err := a.openExisting(cmd.Context(), db)
			if err != nil {
				return err
			}
			defer opened.Close()
			switch {
			case (cases || totals) && len(args) > 0:
				return exit.Usage("--cases and --totals are about all cases; name none")
			case cases && totals:
				return exit.Usage("--cases and --totals are two lists; ask for one")
			case totals:
				return a.listTotals(cmd.Context(), opened)
			case cases:
				return a.listCases(cmd.Context(), opened)
			case len(args) == 0:
				return a.listFiles(cmd.Context(), opened)
			}
			for _, id := range args {
				if err := a.listCase(cmd.Context(), opened, id, practice); err != nil {
					return err
				}
			}
			return nil
		},
	}
	cmd.Flags().SortFlags = false
	cmd.Flags().BoolVar(&cases, "cases", false, "list the cases with the number of their records")
	cmd.Flags().BoolVar(&totals, "totals", false, "what was expressed, by direction, course and attachment, from sums made in the database")
	cmd.Flags().StringVar(&db, "db", "", "database made by ingest")
	cmd.Flags().StringVar(&practice, "practice", "", practiceOfCases)
	return cmd
}

func (a *app) listFiles(ctx context.Context, db store.Store) error {
	files, err := db.Files(ctx)
	if err != nil {
		return err
	}
	names := map[string]string{}
	for _, f := range files {
		names[f.SHA256] = f.Name
	}
	for _, f := range files {
		fmt.Fprintf(a.out, "%s%s\n  sha256 %s\n  %s\n", f.Name, inventedMark(f.Invented), f.SHA256, countsText(f.Counts()))
		if by := f.LaterVersion; by != "" {
			fmt.Fprintf(a.out, "  later version: %s (sha256 %.12s...); an audit counts the rows there\n", names[by], by)
		}
	}
	if err := a.listAlone(ctx, db); err != nil {
		return err
	}
	rejected, err := db.Rejected(ctx)
	if err != nil {
		return err
	}
	for _, r := range rejected {
		for _, reason := range r.Reasons {
			if rule, ok := rules.Find(rules.ID(reason.Rule)); ok { // the database keeps no words of a sheet
				reason.Message, reason.Remedy = strings.ToLower(rule.Title[:1])+rule.Title[1:], rule.Remedy
			}
			fmt.Fprintf(a.out, "rejected [%s] %v\n", reason.Rule, reason)
		}
	}
	return nil
}

// listAlone says how many movements of each file were refused in rows that are kept.
func (a *app) listAlone(ctx context.Context, db store.Store) error {
	problems, err := db.Problems(ctx)
	for _, p := range problems {
		if p.Rule == casebook.MovementsRefused {
			fmt.Fprintf(a.out, "refused in rows that are kept: %s of %s\n", plural(p.Count, "movement"), p.File)
		}
	}
	return err
}

func (a *app) listCase(ctx context.Context, db store.Store, id, practice string) error {
	list, err := db.Cases(ctx)
	if err != nil {
		return err
	}
	k, err := caseNamed(keysOf(list), id, practice, db.Path())
	if err != nil {
		return err
	}
	current, err := db.Current(ctx, k)
	if err != nil {
		return err
	}
	history, err := db.History(ctx, k)
	if err != nil {
		return err
	}
	for _, v := range slices.Concat(current, history) {
		text, err := job.Describe(v.Kind, v.Value)
		if err != nil {
			return fmt.Errorf("a record of case %s: %w", id, err)
		}
		fmt.Fprintf(a.out, "%s: %s\n    from %s, sheet %s, row %d", v.Kind, text, v.File.Name, v.Source.Sheet, v.Source.Row)
		switch v.How {
		case store.Corrected:
			fmt.Fprintf(a.out, "; corrected or completed by %s", v.ReplacedBy.Name)
		case store.Retired:
			fmt.Fprintf(a.out, "; not taken from its later version %s: no longer in it, or refused there", v.ReplacedBy.Name)
		case store.Removed:
			fmt.Fprint(a.out, "; taken out with its file")
		}
		fmt.Fprintln(a.out)
	}
	return nil
}

// listCases lists the cases with the number of their current records.
func (a *app) listCases(ctx context.Context, db store.Store) error {
	list, err := db.Cases(ctx)
	if err != nil {
		return err
	}
	for _, c := range list {
		var counts []string
		for _, k := range casebook.Kinds()[1:] {
			if n := c.Records[k]; n > 0 {
				counts = append(counts, plural(n, k.String()))
			}
		}
		if c.Records[casebook.CaseKind] == 0 {
			counts = append(counts, "not in a list of cases")
		}
		if c.Unsettled != "" {
			counts = append(counts, "recorded under several practices: "+c.Unsettled)
		}
		if c.Removed.OK {
			counts = append(counts, "removed: "+c.Removed.Value)
		}
		fmt.Fprintf(a.out, "%v: %s\n", c.CaseKey, strings.Join(counts, ", "))
	}
	return nil
}

func keysOf(list []store.CaseCount) []casebook.CaseKey {
	out := make([]casebook.CaseKey, len(list))
	for i, c := range list {
		out[i] = c.CaseKey
	}
	return out
}

func inventedMark(invented bool) string {
	if invented {
		return " (invented data)"
	}
	return ""
}
