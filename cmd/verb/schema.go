package verb

import (
	"github.com/spf13/cobra"

	"shortfall/report"
)

func (a *app) schemaCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "schema",
		Short:   "Print the JSON Schema of results.json",
		Long:    `schema prints the published schema of what audit writes with --json.`,
		Example: "  shortfall schema",
		Args:    noArguments,
		RunE: func(*cobra.Command, []string) error {
			_, err := a.out.Write(report.Schema())
			return err
		},
	}
}
