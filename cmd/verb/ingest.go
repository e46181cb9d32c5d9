package verb

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"shortfall/cmd/console"
	"shortfall/cmd/exit"
	"shortfall/cmd/job"
	"shortfall/cmd/output"
	"shortfall/ingest/casebook"
	"shortfall/ingest/feedback"
	"shortfall/ingest/screen"
)

// ingestRun is one run of the ingest verb.
type ingestRun struct {
	*app
	db, json, annotate string
	force              bool
	files              []string
	reading            reading
	written            output.Set
}

func (a *app) ingestCommand() *cobra.Command {
	r := &ingestRun{app: a}
	cmd := &cobra.Command{
		Use:   "ingest --db FILE SPREADSHEET...",
		Short: "Check spreadsheets and keep their records in a database",
		Long: `ingest reads .xlsx and .csv files and keeps what it accepts in a SQLite
database, one transaction a file: all of a file or none. Every rejected row is
kept too, with its reasons. The same file again changes nothing; a corrected row
replaces the old one, which stays in the history.`,
		Example: `  shortfall ingest --db clinic.db cases.xlsx
  shortfall ingest --db clinic.db --notation fdi january.csv february.csv
  shortfall ingest --db clinic.db cases.xlsx --annotate marked.xlsx --json found.json`,
		RunE: func(cmd *cobra.Command, args []string) error {
			files, err := inFolders(args)
			if err != nil {
				return err
			}
			r.files = files
			return r.run(cmd.Context())
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&r.db, "db", "", "database to keep the records in, a file or postgres://user@host/database; made where there is none")
	r.reading.flags(f)
	r.reading.confirm = true
	f.StringSliceVar(&r.reading.choices.Correct, "correct", nil, "known `CASE` whose movements the file corrects, none being the same")
	f.StringSliceVar(&r.reading.choices.Distinct, "distinct", nil, "new `CASE` that is another patient, though its movements equal a known one's")
	f.BoolVar(&r.reading.choices.Whole, "whole", false, "the file holds all cases: those of its earlier version that it lacks go")
	f.StringVar(&r.annotate, "annotate", "", "write a copy of the one spreadsheet, its problems marked, to this workbook `FILE`")
	f.StringVar(&r.json, "json", "", "write what was found to this `FILE`, or - for standard output")
	f.BoolVar(&r.force, "force", false, "replace the files of --annotate and --json if they exist")
	return cmd
}

func (r *ingestRun) run(ctx context.Context) error {
	if err := r.check(); err != nil {
		return err
	}
	defer r.written.Drop()
	p := console.NewProgress(r.err, r.quiet)
	defer p.End()
	db, err := r.openStore(ctx, r.db)
	if err != nil {
		return err
	}
	defer db.Close()
	p.Clear(func() { r.notify(db) })
	files, err := r.intake(ctx, db, r.files, r.reading, p)
	p.End()
	r.printFiles(files, true)
	if err != nil {
		return err
	}
	fit, err := job.FitOf(ctx, db)
	if err != nil {
		return err
	}
	r.printFit(fit)
	if err := r.write(ctx, files); err != nil {
		return err
	}
	return exit.Reported(codeOfFiles(files))
}

func (r *ingestRun) check() error {
	switch {
	case r.db == "":
		return exit.Usage("needs a database to keep the records in: --db FILE")
	case len(r.files) == 0:
		return exit.Usage("names no file to read")
	case r.annotate != "" && len(r.files) > 1:
		return exit.Usage("--annotate marks one spreadsheet; give one at a time")
	case r.annotate == output.Stdout:
		return exit.Usage("only --json can be written to standard output")
	}
	var outputs []output.File
	if r.annotate != "" {
		outputs = append(outputs, output.File{Flag: "--annotate", Path: r.annotate, Ends: []string{".xlsx"}})
		r.reading.seen = r.mark
	}
	if r.json == output.Stdout {
		r.summary = r.err
	} else if r.json != "" {
		outputs = append(outputs, output.File{Flag: "--json", Path: r.json, Ends: []string{".json"}})
	}
	inputs := append([]string{r.db, r.reading.mapFile}, r.files...)
	if err := output.Check(outputs, inputs, r.force); err != nil {
		return err
	}
	return r.reading.prepare()
}

// mark writes the annotated copy, which gets its name once the records are kept.
func (r *ingestRun) mark(_ string, b *casebook.Batch) error {
	return r.written.Write(r.annotate, func(w io.Writer) error { return feedback.Annotate(w, b) })
}

// write writes the reports, puts the outputs in place and says where everything is.
func (r *ingestRun) write(ctx context.Context, files []fileReport) error {
	reports := make([]feedback.Report, len(files))
	for i, f := range files {
		reports[i] = f.Report
	}
	found := func(w io.Writer) error { return feedback.WriteJSON(w, reports) }
	var written []string
	switch {
	case r.annotate == "":
	case files[0].unread != nil:
		r.written.Drop() // one of a file that was read and not kept
		fmt.Fprintf(r.err, "shortfall: nothing of %s was kept, so there is no %s\n", screen.Shown(files[0].path), r.annotate)
	default:
		written = append(written, r.annotate)
	}
	switch r.json {
	case "":
	case output.Stdout:
		if err := found(r.out); err != nil {
			return output.Unwritable("standard output", err)
		}
	default:
		if err := r.written.Write(r.json, found); err != nil {
			return err
		}
		written = append(written, r.json)
	}
	if err := r.written.Place(ctx, r.Ending); err != nil {
		return err
	}
	r.printWritten(written)
	return nil
}
