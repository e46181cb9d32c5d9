package verb

import (
	"context"
	"errors"

	"github.com/spf13/cobra"

	"shortfall/cmd/console"
	"shortfall/cmd/exit"
	"shortfall/cmd/output"
	"shortfall/ingest"
	"shortfall/ingest/apart"
	"shortfall/ingest/layout"
	"shortfall/ingest/mapping"
	"shortfall/ingest/question"
	"shortfall/ingest/screen"
	"shortfall/ingest/sheet"
)

func (a *app) mapCommand() *cobra.Command {
	var path string
	var force, ask bool
	cmd := &cobra.Command{
		Use:   "map SPREADSHEET [-o FILE.toml] [--ask]",
		Short: "Propose how a spreadsheet of your own is to be read",
		Long: `map looks at headers, units and values, proposes which column means what, and
writes that as a commented mapping file: columns, words with their counts, and
every point that the sheet leaves open, with its choices. Check and edit it, then
give it to ingest or audit with --map. Without -o the proposal is printed. With
--ask the open points are put one by one, and the answers written down. What a sheet
says nowhere and holds for all its rows is given below its section, by field:

  [sheet.constants]
  course = "initial"
  practice = "P1"`,
		Example: `  shortfall map january.csv
  shortfall map january.csv -o clinic.toml
  shortfall ingest --db clinic.db --map clinic.toml january.csv`,
		Args: oneArgument("a spreadsheet"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if path != "" {
				if err := output.Check([]output.File{{Flag: "-o", Path: path, Ends: []string{".toml"}}}, args, force); err != nil {
					return err
				}
			}
			p := console.NewProgress(a.err, a.quiet)
			defer p.End()
			p.At("reading %s", args[0])
			book, err := sheet.OpenContext(cmd.Context(), args[0], sheet.Limits{})
			p.End()
			if err != nil {
				return a.refuse(args[0], screen.WithoutNames(err))
			}
			open, given, err := a.openPoints(cmd.Context(), args[0], ask)
			if err != nil {
				return err
			}
			proposal := text(string(layout.Propose(apart.Plain(book)).Text()) + apart.AboutOdd(book) + mapping.AnswersText(open, given))
			if path == "" {
				return proposal(a.out)
			}
			if err := output.Write(cmd.Context(), a.Ending, path, proposal); err != nil {
				return err
			}
			a.printWritten([]string{path})
			return nil
		},
	}
	cmd.Flags().StringVarP(&path, "output", "o", "", "write the proposal to this `FILE`")
	cmd.Flags().BoolVar(&ask, "ask", false, "put the open points one by one and write the answers down")
	cmd.Flags().BoolVar(&force, "force", false, "replace the file even if it exists")
	return cmd
}

// openPoints lists what a file leaves open, and the answers typed where the
// person is asked.
func (a *app) openPoints(ctx context.Context, path string, ask bool) ([]question.Question, question.Answers, error) {
	given := question.Answers{}
	var all []question.Question
	for range mostAsked {
		_, err := a.Read(ctx, path, ingest.Options{Answers: given, Ask: ask})
		var refused *ingest.Refused
		if !errors.As(err, &refused) || len(refused.Questions) == 0 {
			break
		}
		all = append(all, refused.Questions...)
		if !ask {
			break
		}
		typed, err := console.AskAll(a.lines(), a.err, refused.Questions)
		if err != nil {
			return nil, nil, exit.Usage("needs an answer to every question: give them at the keyboard, or leave --ask out")
		}
		for id, word := range typed {
			given[id] = word
		}
	}
	return all, given, nil
}
