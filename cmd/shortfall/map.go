package main

import (
	"github.com/spf13/cobra"

	"shortfall/ingest"
	"shortfall/ingest/layout"
	"shortfall/ingest/sheet"
)

func (a *app) mapCommand() *cobra.Command {
	var path string
	var force bool
	cmd := &cobra.Command{
		Use:   "map SPREADSHEET [-o FILE.toml]",
		Short: "Propose how a spreadsheet of your own is to be read",
		Long: `map looks at headers, units and values, proposes which column means what, and
writes that as a commented mapping file. Check and edit it, then give it to
ingest or audit with --map. Without -o the proposal is printed.`,
		Example: `  shortfall map january.csv
  shortfall map january.csv -o clinic.toml
  shortfall ingest --db clinic.db --map clinic.toml january.csv`,
		Args: oneArgument("a spreadsheet"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if path != "" {
				if err := checkOutputs([]output{{flag: "-o", path: path}}, args, force); err != nil {
					return err
				}
			}
			p := a.progress()
			defer p.end()
			p.at("reading %s", args[0])
			book, err := sheet.OpenContext(cmd.Context(), args[0], sheet.Limits{})
			p.end()
			if err != nil {
				return a.refuse(args[0], err)
			}
			proposal := text(string(layout.Propose(ingest.Plain(book)).Text()))
			if path == "" {
				return proposal(a.out)
			}
			if err := writeFile(path, proposal); err != nil {
				return err
			}
			a.printWritten([]string{path})
			return nil
		},
	}
	cmd.Flags().StringVarP(&path, "output", "o", "", "write the proposal to this `FILE`")
	cmd.Flags().BoolVar(&force, "force", false, "replace the file even if it exists")
	return cmd
}
