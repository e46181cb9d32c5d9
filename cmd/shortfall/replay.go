package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"

	"github.com/spf13/cobra"

	"shortfall/audit/results"
	"shortfall/ingest/scratch"
	"shortfall/report"
)

func (a *app) replayCommand() *cobra.Command {
	var out renderings
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
			if !out.asked() {
				return usage("names no output: give %sor --figures", formatFlags())
			}
			if err := out.check(a, args); err != nil {
				return err
			}
			res, err := a.readResults(args[0])
			if err != nil {
				return err
			}
			p := a.progress()
			defer p.end()
			written, err := out.write(cmd.Context(), a, res, p)
			p.end()
			if err == nil {
				a.printWritten(written)
			}
			return err
		},
	}
	out.flags(cmd.Flags())
	return cmd
}

// readResults reads saved results of this version of the schema.
func (a *app) readResults(path string) (*results.Results, error) {
	in := a.in
	if path != toStdout {
		data, err := scratch.Read(path, largestDeclared)
		if err != nil {
			return nil, unreadable(fmt.Errorf("%s cannot be read: %w", path, cause(err)))
		}
		in = bytes.NewReader(data)
	}
	res, err := report.ReadJSON(in)
	if err != nil {
		return nil, unreadable(fmt.Errorf("%s: %w", path, err))
	}
	return res, nil
}

// cause strips the path that the message names already.
func cause(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}
