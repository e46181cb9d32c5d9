package verb

import (
	"fmt"

	"github.com/spf13/cobra"

	"shortfall/cmd/exit"
	"shortfall/cmd/flags"
	"shortfall/ingest/rules"
)

func (a *app) explainCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "explain [RULE]",
		Short: "Explain a rule of the data checks, or list them all",
		Long: `Every problem that ingest and audit print carries the id of a rule. explain
says what the rule looks for, why, and what to do. Without an id it lists them.`,
		Example: `  shortfall explain
  shortfall explain tooth-unknown`,
		Args: atMostOne("a rule"),
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				for _, r := range rules.All() {
					fmt.Fprintf(a.out, "%-28s %-8s %s\n", r.ID, r.Severity, r.Title)
				}
				return nil
			}
			text, err := rules.Explain(args[0])
			if err != nil {
				return exit.Usage("there is no rule %q: \"shortfall explain\" lists them%s", args[0], flags.DidYouMean(args[0], "", ruleIDs()))
			}
			_, err = fmt.Fprint(a.out, text)
			return err
		},
	}
}

func ruleIDs() []string {
	var ids []string
	for _, r := range rules.All() {
		ids = append(ids, string(r.ID))
	}
	return ids
}
