package verb

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/cmd/console"
	"shortfall/cmd/exit"
	"shortfall/cmd/flags"
	"shortfall/cmd/job"
	"shortfall/cmd/output"
	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlite"
)

// auditRun is one run of the audit verb.
type auditRun struct {
	*app
	db       string
	files    []string
	reading  reading
	settings results.Settings
	out      output.Renderings
	reaudit  reaudit
	earlier  *results.Results
	noKeep   bool
	computed string // the day, where the results are those of an earlier run
}

func (a *app) auditCommand() *cobra.Command {
	r := &auditRun{app: a, settings: results.DefaultSettings()}
	cmd := &cobra.Command{
		Use:   "audit {SPREADSHEET... | --db FILE} [--pdf FILE] [--json FILE] [--xlsx FILE]",
		Short: "Audit spreadsheets or a database and write the report",
		Long: `audit computes how much of each planned movement was expressed, compares the
attachment styles, counts refinements and lost attachments, and writes the report.

Given spreadsheets, it holds their records in memory and keeps none of them; given
--db, it audits what ingest kept there. The same records and settings give the same
bytes. Where no output is named, the report of spreadsheets is written beside the
first of them.

The last results of a database are kept in one file beside it (clinic.db.last, which
may be deleted), and those of a server in it, apart for every role that may import: a run
in which nothing has changed answers from them, and says so. Erasing records deletes them.

An output made by an earlier run is replaced; any other file in its place is
kept unless --force is given. An input is never overwritten.`,
		Example: `  shortfall audit cases.xlsx --pdf audit.pdf
  shortfall audit --db clinic.db --pdf audit.pdf --json results.json --xlsx tables.xlsx
  shortfall audit --db clinic.db --pdf shared.pdf --shared --paper letter --teeth universal
  shortfall audit --db clinic.db --criteria criteria.toml --date 2026-09-30
  shortfall audit --db clinic.db --from 2025-07 --to 2025-09
  shortfall audit --db clinic.db --quarter 2025Q3 --pdf audit.pdf
  shortfall audit --db clinic.db --criteria criteria.toml --since results.json --pdf audit.pdf`,
		RunE: func(cmd *cobra.Command, args []string) error {
			files, err := inFolders(args)
			if err != nil {
				return err
			}
			r.files = files
			if len(args) > 0 {
				r.out.Beside(args[0], r.lone)
			}
			return r.run(cmd.Context())
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&r.db, "db", "", "audit the records of this database")
	f.BoolVar(&r.noKeep, "no-keep", false, "compute everything, and keep no results")
	r.out.Flags(f)
	flags.Settings(f, &r.settings)
	r.reaudit.flags(f)
	r.reading.flags(f)
	return cmd
}

func (r *auditRun) run(ctx context.Context) error {
	if err := r.check(); err != nil {
		return err
	}
	p := console.NewProgress(r.err, r.quiet)
	defer p.End()
	db, err := r.open(ctx)
	if err != nil {
		return err
	}
	defer db.Close()
	files, err := r.intake(ctx, db, r.files, r.reading, p)
	p.Clear(func() { r.printFiles(files, false) })
	if err != nil {
		return err
	}
	res, err := r.compute(ctx, db, codeOfFiles(files), p)
	if err != nil {
		return err
	}
	written, err := r.out.Write(ctx, r.Ending, r.app.out, res, p)
	p.End()
	if err != nil {
		return err
	}
	r.printAudit(res, files, written)
	code := codeOfFiles(files)
	if res.Scope.Movements == 0 { // also quietly: the report holds nothing but why
		fmt.Fprintln(r.err, "shortfall: warning: no planned movement with a measured outcome is left to audit; the report says why")
		code = max(code, exit.CodeData)
	}
	return exit.Reported(code)
}

func (r *auditRun) check() error {
	switch {
	case r.db == "" && len(r.files) == 0:
		return exit.Usage("names nothing to audit: give spreadsheets, or a database with --db")
	case r.db != "" && len(r.files) > 0:
		return exit.Usage("takes spreadsheets or --db, not both; add them to the database with \"shortfall ingest\"")
	}
	if err := flags.CheckSettings(r.settings); err != nil {
		return err
	}
	inputs := slices.Concat(r.files, r.reaudit.inputs(), []string{r.db, r.reading.mapFile})
	if err := r.accept(&r.out, inputs); err != nil {
		return err
	}
	if err := r.reading.prepare(); err != nil {
		return err
	}
	var err error
	r.earlier, err = r.reaudit.apply(&r.settings)
	return err
}

// audited are records that files are read into and that are audited.
type audited interface {
	keeper
	job.Records
	Close() error
}

// open opens the database, or holds the records of spreadsheets in memory: those of one file
// as they are, since nothing but an earlier file could change what becomes of them.
func (r *auditRun) open(ctx context.Context) (audited, error) {
	switch {
	case r.db != "":
		return r.openExisting(ctx, r.db, sqlite.CheckLate()) // its last results were computed of bytes that were looked at
	case len(r.files) == 1:
		return store.NewLone(sqlite.InMemory), nil
	}
	return sqlite.OpenTemp(ctx)
}

// compute audits what is in the database; code is that of the files read into it.
func (r *auditRun) compute(ctx context.Context, db audited, code int, p *console.Progress) (*results.Results, error) {
	task := job.Audit{
		DB: db, Settings: r.settings, Version: r.Version, Before: r.earlier, Keep: r.db != "" && !r.noKeep,
		At: func(step string, done, all int) { p.Of("", done, all, "%s", step) },
	}
	res, day, err := task.Run(ctx)
	r.computed = day
	if period := (*rows.PeriodError)(nil); errors.As(err, &period) {
		return nil, exit.Usage("%v", period)
	}
	if errors.Is(err, job.ErrNoMovement) {
		return nil, exit.With(max(code, exit.CodeData), fmt.Errorf("%w, so nothing was written", err))
	}
	return res, err
}

// printAudit writes the findings and where the report is.
func (r *auditRun) printAudit(res *results.Results, files []fileReport, written []string) {
	if r.quiet {
		return
	}
	w := r.summary
	fmt.Fprintf(w, "Audited: %s in %s%s", plural(res.Scope.Movements, "movement"), plural(res.Scope.Cases, "case"), inventedMark(res.Provenance.Invented))
	left := 0
	for _, f := range files {
		if f.unread != nil {
			left++
		}
	}
	if left > 0 {
		fmt.Fprintf(w, ", without %s that could not be read", plural(left, "file"))
	}
	if r.computed != "" {
		fmt.Fprintf(w, ", as computed on %s: nothing has changed", r.computed)
	}
	fmt.Fprintln(w)
	for _, x := range res.Warnings {
		if x.ID == results.ListApart {
			fmt.Fprintf(w, "  ! %s\n", console.Wrap(x.Text+". "+x.Remedy+".", "    "))
		}
	}
	for _, f := range res.Findings {
		fmt.Fprintf(w, "  - %s\n", console.Wrap(f.Text, "    "))
	}
	fmt.Fprintln(w, console.Wrap("These are associations, not causes; they support and never replace the judgement of a licensed clinician.", ""))
	r.printWritten(written)
}
