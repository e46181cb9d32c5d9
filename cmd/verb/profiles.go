package verb

import (
	"fmt"

	"github.com/spf13/cobra"
)

func (a *app) profilesCommand() *cobra.Command {
	var db, remove string
	cmd := &cobra.Command{
		Use:   "profiles --db FILE [--remove HASH]",
		Short: "List what is remembered about the layout of sheets, or forget it",
		Long: `profiles lists the layouts for which a database remembers what was answered, each
with the file it was answered for and the hash of its header. A sheet with the
same header is read with these answers.`,
		Example: `  shortfall profiles --db clinic.db`,
		Args:    noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			opened, err := a.openExisting(cmd.Context(), db)
			if err != nil {
				return err
			}
			defer opened.Close()
			if remove != "" {
				if err := opened.RemoveProfile(cmd.Context(), remove); err != nil {
					return err
				}
				if !a.quiet {
					fmt.Fprintf(a.summary, "%s: forgotten\n", db)
				}
				return nil
			}
			list, err := opened.Profiles(cmd.Context())
			if err != nil {
				return err
			}
			if len(list) == 0 && !a.quiet {
				fmt.Fprintf(a.summary, "%s: no answers are remembered\n", db)
			}
			for _, p := range list {
				fmt.Fprintf(a.out, "%.12s  %s\n", p.Header, p.Name)
			}
			return nil
		},
	}
	cmd.Flags().SortFlags = false
	cmd.Flags().StringVar(&db, "db", "", "database made by ingest")
	cmd.Flags().StringVar(&remove, "remove", "", "forget the layout with this `HASH`")
	return cmd
}
