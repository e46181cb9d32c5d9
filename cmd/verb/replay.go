package verb

import (
	"bytes"
	"fmt"

	"github.com/spf13/cobra"

	"shortfall/audit/results"
	"shortfall/cmd/console"
	"shortfall/cmd/exit"
	"shortfall/cmd/output"
	"shortfall/ingest/scratch"
	"shortfall/report"
)

func (a *app) replayCommand() *cobra.Command {
	var out output.Renderings
	cmd := &cobra.Command{
		Use:   "replay RESULTS.json [--pdf FILE] [--xlsx FILE] [--json FILE]",
		Short: "Render saved results again, without the records",
		Long: `replay reads results that audit saved with --json and renders them, for another
paper size or as a workbook. Nothing is computed again. With - it reads standard
input.`,
		Example: `  shortfall replay results.json --pdf audit.pdf --paper letter
  shortfall replay - --xlsx tables.xlsx < results.json`,
		Args: oneArgument("a file of results, or -"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if !out.Asked() {
				return exit.Usage("names no output: give %sor --figures", output.FormatFlags())
			}
			if err := a.accept(&out, args); err != nil {
				return err
			}
			res, err := a.readResults(args[0])
			if err != nil {
				return err
			}
			p := console.NewProgress(a.err, a.quiet)
			defer p.End()
			written, err := out.Write(cmd.Context(), a.Ending, a.out, res, p)
			p.End()
			if err == nil {
				a.printWritten(written)
			}
			return err
		},
	}
	out.Flags(cmd.Flags())
	return cmd
}

// readResults reads saved results of this version of the schema.
func (a *app) readResults(path string) (*results.Results, error) {
	in := a.in
	if path != output.Stdout {
		data, err := scratch.Read(path, largestDeclared)
		if err != nil {
			return nil, exit.Unreadable(fmt.Errorf("%s cannot be read: %w", path, exit.Cause(err)))
		}
		in = bytes.NewReader(data)
	}
	res, err := report.ReadJSON(in)
	if err != nil {
		return nil, exit.Unreadable(fmt.Errorf("%s: %w", path, err))
	}
	return res, nil
}
