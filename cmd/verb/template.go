package verb

import (
	"io"

	"github.com/spf13/cobra"

	"shortfall/audit/declare"
	"shortfall/cmd/exit"
	"shortfall/cmd/flags"
	"shortfall/cmd/output"
	"shortfall/ingest/template"
)

func (a *app) templateCommand() *cobra.Command {
	var path string
	var force bool
	of := template.Write
	cmd := &cobra.Command{
		Use:   "template -o FILE",
		Short: "Write an empty workbook to fill in, or a file of criteria to edit",
		Long: `template writes a workbook with sheets for cases, courses, movements and
repeats, drop-down lists, and a page of instructions. With --of it writes a
commented file for audit instead: criteria (targets, protocol changes, actions)
or orientations (which orientation of a feature suits which movement). A file
that exists is kept: it may have been filled in.`,
		Example: `  shortfall template -o cases.xlsx
  shortfall template --of criteria -o criteria.toml`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if path == "" {
				return exit.Usage("needs the name of the file to write: -o FILE")
			}
			ends := ".toml"
			if cmd.Flag("of").Value.String() == "workbook" {
				ends = ".xlsx"
			}
			if err := output.Check([]output.File{{Flag: "-o", Path: path, Ends: []string{ends}}}, nil, force); err != nil {
				return err
			}
			if err := output.Write(cmd.Context(), a.Ending, path, of); err != nil {
				return err
			}
			a.printWritten([]string{path})
			return nil
		},
	}
	cmd.Flags().StringVarP(&path, "output", "o", "", "the file to write")
	cmd.Flags().Var(flags.Choose(&of, []string{"workbook", "criteria", "orientations"},
		[]func(io.Writer) error{template.Write, text(declare.CriteriaExample), text(declare.FitTableExample)}, "workbook"), "of", "what to write")
	cmd.Flags().BoolVar(&force, "force", false, "replace the file even if it exists")
	return cmd
}

// text is a file that is known beforehand.
func text(s string) func(io.Writer) error {
	return func(w io.Writer) error { _, err := io.WriteString(w, s); return err }
}
