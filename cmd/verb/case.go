package verb

import (
	"io"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/cmd/exit"
	"shortfall/cmd/flags"
	"shortfall/cmd/job"
	"shortfall/cmd/output"
	"shortfall/ingest/casebook"
	"shortfall/ingest/values"
	"shortfall/report"
	"shortfall/report/paper"
)

// caseRun is one run of the case verb.
type caseRun struct {
	*app
	db, pdf, json string
	practice      string
	paper         paper.Size
	force, inside bool
	settings      results.Settings
}

func (a *app) caseCommand() *cobra.Command {
	r := &caseRun{app: a, settings: results.DefaultSettings()}
	cmd := &cobra.Command{
		Use:   "case --db FILE CASE... [--pdf FILE] [--json FILE]",
		Short: "Write one page a case for a study club",
		Long: `case writes a page for each case named: its courses in time, what was planned,
achieved and left over for each movement against the practice's other cases, the
features and their changes, what was planned again, and questions to discuss.

The pages are made to leave the practice: they carry the pseudonym alone, without
clinician, age and calendar dates, and follow the small-number rule. A pseudonym
that looks like a name or a record number is refused. With --inside they are made
for the practice's own use.`,
		Example: `  shortfall case --db clinic.db MQ-001 --pdf case.pdf
  shortfall case --db clinic.db MQ-001 MQ-002 --pdf cases.pdf --paper letter`,
		RunE: func(cmd *cobra.Command, args []string) error { return r.run(cmd, args) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&r.db, "db", "", "database made by ingest")
	f.StringVar(&r.practice, "practice", "", practiceOfCases)
	f.StringVar(&r.pdf, "pdf", "", "write the pages to this `FILE`")
	f.StringVar(&r.json, "json", "", "write the numbers to this `FILE`")
	f.Var(flags.Choose(&r.paper, []string{"a4", "letter"}, []paper.Size{paper.A4, paper.Letter}, "a4"), "paper", "size of the pages")
	f.BoolVar(&r.force, "force", false, "replace an output that this program did not make")
	f.BoolVar(&r.inside, "inside", false, "for use inside the practice: with clinician, age band and months")
	f.StringVar(&r.settings.Date, "date", "", "date printed, `YYYY-MM-DD`; default: month of the newest record")
	f.Var(flags.Choose(&r.settings.Notation, flags.NotationWords, flags.NotationValues, "fdi"), "teeth", "notation in which teeth are shown")
	return cmd
}

func (r *caseRun) run(cmd *cobra.Command, ids []string) error {
	var outputs []output.File
	for _, o := range []output.File{
		{Flag: "--pdf", Path: r.pdf, Ends: []string{".pdf"}, Made: output.MadePDF},
		{Flag: "--json", Path: r.json, Ends: []string{".json"}, Made: output.MadeJSON},
	} {
		if o.Path != "" {
			outputs = append(outputs, o)
		}
	}
	switch {
	case r.db == "":
		return errNoDatabase
	case len(ids) == 0:
		return exit.Usage(`names no case; "shortfall records --db %s" lists what is there`, r.db)
	case len(outputs) == 0:
		return exit.Usage("names no output: give --pdf or --json")
	}
	r.settings.Shared = !r.inside
	if err := flags.CheckSettings(r.settings); err != nil {
		return err
	}
	if err := output.Check(outputs, []string{r.db}, r.force); err != nil {
		return err
	}
	sheets, err := r.sheets(cmd, ids)
	if err != nil {
		return err
	}
	render := map[string]func(io.Writer) error{
		"--pdf":  func(w io.Writer) error { return report.CasePDF(w, sheets, report.Options{Paper: r.paper}) },
		"--json": func(w io.Writer) error { return report.CaseJSON(w, sheets) },
	}
	var set output.Set
	defer set.Drop()
	var written []string
	for _, o := range outputs {
		if err := set.Write(o.Path, render[o.Flag]); err != nil {
			return err
		}
		written = append(written, o.Path)
	}
	if err := set.Place(cmd.Context(), r.Ending); err != nil {
		return err
	}
	r.printWritten(written)
	return nil
}

// sheets reads the database and makes the sheets of the named cases.
func (r *caseRun) sheets(cmd *cobra.Command, ids []string) (*results.CaseSheets, error) {
	db, err := r.openExisting(cmd.Context(), r.db)
	if err != nil {
		return nil, err
	}
	defer db.Close()
	ds, err := db.Load(cmd.Context())
	if err != nil {
		return nil, err
	}
	var keys []casebook.CaseKey
	all := casesOf(ds)
	for _, id := range ids {
		k, err := caseNamed(all, id, r.practice, r.db)
		if err != nil {
			return nil, err
		}
		keys = append(keys, k)
	}
	sheets, err := audit.MakeCaseSheets(ds, keys, r.settings, r.Version)
	if err != nil {
		return nil, err
	}
	if err := job.ScreenSheets(sheets); err != nil {
		return nil, exit.With(exit.CodeData, err)
	}
	return sheets, nil
}

// casesOf lists the cases that have a record of any kind an audit uses.
func casesOf(ds *casebook.Dataset) []casebook.CaseKey {
	seen := map[casebook.CaseKey]bool{}
	for i := range ds.Cases {
		seen[ds.Cases[i].Key()] = true
	}
	for i := range ds.Movements {
		seen[ds.Movements[i].Case] = true
	}
	return slices.SortedFunc(maps.Keys(seen), casebook.CaseKey.Compare)
}

// withoutName stands for the practice without a name where one is chosen.
const withoutName = "-"

// caseNamed finds the case that a person names: by its pseudonym, and by its
// practice where several use the pseudonym.
func caseNamed(keys []casebook.CaseKey, id, practice, db string) (casebook.CaseKey, error) {
	id = values.TypedCode(id)
	if practice != withoutName {
		practice = values.TypedCode(practice)
	}
	elsewhere := false
	var found []casebook.CaseKey
	for _, k := range keys {
		if k.ID == id && (practice == "" || k.Practice == practice || k.Practice == "" && practice == withoutName) {
			found = append(found, k)
		}
		elsewhere = elsewhere || k.ID == id
	}
	switch {
	case len(found) == 1:
		return found[0], nil
	case elsewhere && len(found) == 0:
		return casebook.CaseKey{}, exit.Usage(`%s has a case %s, but not of practice %s: "shortfall practice --db %s" lists the practices`, db, id, practice, db)
	case len(found) == 0:
		return casebook.CaseKey{}, exit.Usage(`%s has no case %s: give the pseudonym as it was recorded`, db, id)
	}
	var practices []string
	for _, k := range found {
		if k.Practice == "" {
			k.Practice = withoutName
		}
		practices = append(practices, k.Practice)
	}
	return casebook.CaseKey{}, exit.Usage("%d practices have a case %s: say which with --practice (%s)", len(found), id, strings.Join(practices, ", "))
}
