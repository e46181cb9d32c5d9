// Package audit turns the records of a dataset into findings.
//
// Place in the pipeline: ingest fills the database, cmd loads a
// casebook.Dataset from it, audit.Run computes one results.Results value, report
// renders that. audit knows neither files nor SQL; its statistics live in
// audit/stats.
package audit

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"shortfall/audit/ask"
	"shortfall/audit/ask/methoderror"
	"shortfall/audit/ask/since"
	"shortfall/audit/grid"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/story"
	"shortfall/ingest/casebook"
)

// Run audits a dataset. version is the program's own. The dataset is not
// changed; the same dataset and settings give the same Results, whatever the
// order of the records, the number of processors or the clock. Settings.Period says
// which months, quarter and clinician the audit is about. An error means settings out
// of range, a period that no record can answer (rows.PeriodError), a dataset that no
// store could have given (a record twice), or a cancelled context.
func Run(ctx context.Context, ds *casebook.Dataset, s results.Settings, version string) (*results.Results, error) {
	return RunSince(ctx, ds, s, version, nil)
}

// Earlier is an earlier audit, with what of its records is at hand.
type Earlier = since.Earlier

// ParsePrevious reads the results file of an earlier audit; name is used in errors.
func ParsePrevious(name string, data []byte) (*results.Results, error) {
	return since.Parse(name, data)
}

// Holder knows which movements a file gave, by its SHA-256, as they stand now.
type Holder interface {
	MovementsOf(ctx context.Context, sha256 string) ([]casebook.MovementKey, error)
}

// EarlierIn finds the records of an earlier audit in a database, by the files it read; nil
// for no earlier audit.
func EarlierIn(ctx context.Context, db Holder, r *results.Results) (*Earlier, error) {
	if r == nil {
		return nil, nil
	}
	e := &Earlier{Results: r, Given: map[casebook.MovementKey]bool{}}
	for _, f := range r.Provenance.Inputs {
		keys, err := db.MovementsOf(ctx, f.SHA256)
		if err != nil {
			return nil, err
		}
		for _, k := range keys {
			e.Given[k] = true
		}
	}
	return e, nil
}

// Told gives a context in which Run tells now and then, from several goroutines, how
// much of an audit is done of how much.
func Told(ctx context.Context, tell func(done, all int)) context.Context { return ask.Told(ctx, tell) }

// mostOfIt are the hundredths of an audit that go into the questions which read the rows
// alone (BenchmarkQuestions).
const mostOfIt = 88

// RunSince is Run, with what changed since an earlier audit; nil: none.
func RunSince(ctx context.Context, ds *casebook.Dataset, s results.Settings, version string, earlier *Earlier) (*results.Results, error) {
	if err := s.Check(); err != nil {
		return nil, fmt.Errorf("audit: %w", err)
	}
	s = s.WithoutClinicians()
	p, err := rows.Prepare(ds, s)
	if err != nil {
		return nil, fmt.Errorf("audit: %w", err)
	}
	qs := questions(earlier)
	r := &results.Results{
		SchemaVersion: results.SchemaVersion, Provenance: provenance(p, version), Scope: scope(p),
		Cautions: cautions(), Definitions: definitions(&s, qs), Methods: methods(), Columns: columns(qs),
	}
	first, then := byReads(qs)
	if err := ask.Answers(ask.Between(ctx, 0, mostOfIt), p, r, first); err != nil {
		return nil, err
	}
	methoderror.Grey(r)
	if err := ask.Withhold(p, r, first); err != nil {
		return nil, fmt.Errorf("audit: %w", err)
	}
	if err := ask.Answers(ask.Between(ctx, mostOfIt, 100), p, r, then); err != nil {
		return nil, err
	}
	if err := ask.Withhold(p, r, then); err != nil {
		return nil, fmt.Errorf("audit: %w", err)
	}
	if s.Shared {
		measure.Coarsen(r)
	}
	r.Warnings = auditWarnings(p)
	if r.Findings, err = ask.Findings(r, qs); err != nil {
		return nil, fmt.Errorf("audit: %w", err)
	}
	r.Expression = grid.Listed(r.Expression, s.MinIntervalCases)
	listEmpty(r)
	Tell(r)
	return r, nil
}

// Tell writes the sentences of results as they will be printed: those of every
// question, and those of the first pages. It computes nothing.
func Tell(r *results.Results) {
	r.Sections = sections(r, Questions())
	story.Tell(r)
}

// sections are the words of every question in order of reading; one that has nothing
// to say has a section without words.
func sections(r *results.Results, qs []ask.Question) []results.Section {
	var out []results.Section
	for i := range qs {
		s := qs[i].Section(r)
		s.ID = qs[i].ID
		out = append(out, s)
	}
	return append(out, methodsSection(r))
}

// listEmpty makes tables without rows empty lists, which JSON tells apart from
// tables that are not there.
func listEmpty(r *results.Results) {
	empty(&r.Provenance.Inputs)
	empty(&r.Flow.CasesByStatus)
	empty(&r.Expression)
	empty(&r.Comparisons)
	empty(&r.Replanned)
	empty(&r.Losses)
	empty(&r.Repeats)
	empty(&r.Unplanned)
	empty(&r.Bounds)
	for i := range r.Expression {
		empty(&r.Expression[i].Warnings)
	}
	for i := range r.Comparisons {
		empty(&r.Comparisons[i].Warnings)
	}
}

func empty[T any](list *[]T) {
	if *list == nil {
		*list = []T{}
	}
}

func provenance(p *rows.Set, version string) results.Provenance {
	date := p.Settings.Date
	if date == "" {
		date = newest(p).String()
	}
	words, inputs := p.Dataset.Words, p.Dataset.Files
	if p.Settings.Shared {
		words, inputs = nil, nameless(inputs)
	}
	return results.Provenance{
		Words: words,
		Tool:  "shortfall", Version: version, Inputs: inputs, Settings: p.Settings,
		Date: date, Invented: p.Dataset.Invented,
	}
}

// nameless numbers files and sheets: they can be called by a patient's name.
func nameless(files []casebook.ImportedFile) []casebook.ImportedFile {
	files = slices.Clone(files)
	for i := range files {
		f := &files[i]
		f.Name, f.Sheets = fmt.Sprintf("file %d", i+1), slices.Clone(f.Sheets)
		for k := range f.Sheets {
			f.Sheets[k].Sheet = fmt.Sprintf("sheet %d", k+1)
		}
	}
	return files
}

// newest month on record: the date of an audit that was given none.
func newest(p *rows.Set) (m casebook.Month) {
	for i := range p.Dataset.Cases {
		m = max(m, p.Dataset.Cases[i].Start, p.Dataset.Cases[i].End)
	}
	for i := range p.Dataset.Courses {
		m = max(m, p.Dataset.Courses[i].Start)
	}
	return m
}

// scope describes the cases that contribute an analysed movement.
func scope(p *rows.Set) results.Scope {
	s := results.Scope{Practices: []string{}, Movements: len(p.Analysed), Last: newest(p), Unstated: p.Names.Unstated}
	practices, clinicians := map[string]bool{}, map[int]bool{}
	for i := range p.Dataset.Cases {
		if m := p.Dataset.Cases[i].Start; m != 0 && (s.First == 0 || m < s.First) {
			s.First = m
		}
	}
	for i := range p.Cases { // a sheet of movements alone names its practice too
		if name := p.Cases[i].Key.Practice; name != "" {
			practices[name] = true
		}
	}
	s.Practices = append(s.Practices, sortedKeys(practices)...)
	if per := &p.Settings.Period; per.Limited() && !p.Undated {
		s.First, s.Last = max(cmp.Or(firstEnd(p), s.First), per.From), per.Last()
		if s.Last == 0 {
			s.Last = max(newest(p), s.First) // a period may begin after all records
		}
	}
	for i := range p.Cases {
		c := &p.Cases[i]
		if c.From == c.To {
			continue
		}
		s.Cases++
		if code := p.ClinicianOf[i]; code > 0 {
			clinicians[code] = true
		}
		s.Teeth += distinctTeeth(p.Analysed[c.From:c.To])
	}
	s.Clinicians = len(clinicians)
	return s
}

// firstEnd is the first month in which an analysed course ended; 0 where none is known.
func firstEnd(p *rows.Set) (first casebook.Month) {
	for i := range p.Analysed {
		r := &p.Analysed[i]
		if m := p.CourseEnd(r.Cluster, r.Movement.Course); m != 0 && (first == 0 || m < first) {
			first = m
		}
	}
	return first
}

// distinctTeeth of one case, over its courses.
func distinctTeeth(rows []rows.Row) int {
	seen := map[casebook.Tooth]bool{}
	n := 0
	for i := range rows {
		if t := rows[i].Tooth; !seen[t] {
			seen[t] = true
			n++
		}
	}
	return n
}
