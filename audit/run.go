// Package audit turns the records of a dataset into findings.
//
// Place in the pipeline: ingest fills the database, cmd loads a
// casebook.Dataset from it, audit.Run computes one results.Results value, report
// renders that. audit knows neither files nor SQL; its statistics live in
// audit/stats.
package audit

import (
	"context"
	"fmt"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// Run audits a dataset. version is the program's own. The dataset is not
// changed; the same dataset and settings give the same Results, whatever the
// order of the records, the number of processors or the clock. An error means
// settings out of range, a dataset that no store could have given (a record
// twice), or a cancelled context.
func Run(ctx context.Context, ds *casebook.Dataset, s results.Settings, version string) (*results.Results, error) {
	if err := s.Check(); err != nil {
		return nil, fmt.Errorf("audit: %w", err)
	}
	p, err := prepare(ds, s)
	if err != nil {
		return nil, fmt.Errorf("audit: %w", err)
	}
	r := &results.Results{
		SchemaVersion: results.SchemaVersion, Provenance: p.provenance(version), Scope: p.scope(),
		Cautions: cautions(), Definitions: append(definitions(s), questionDefinitions(s)...),
	}
	if err := p.smallTables(ctx, r); err != nil {
		return nil, err
	}
	if r.Expression, err = p.expression(ctx); err != nil {
		return nil, err
	}
	if r.Comparisons, err = p.comparisons(ctx); err != nil {
		return nil, err
	}
	p.flow.Ascertained = p.ascertained()
	r.Flow, r.Excluded, r.Warnings = p.flow, p.exclusions(), p.auditWarnings()
	greyBelowError(r)
	if s.Shared {
		p.withhold(r)
	}
	if r.Questions, err = p.questions(ctx, r); err != nil {
		return nil, err
	}
	r.Findings = p.findings(r)
	r.Expression = listed(r.Expression, s.MinIntervalCases)
	listEmpty(r)
	return r, nil
}

// smallTables computes the tables beside the grid; none reads another.
// BenchmarkRunOneProcessor holds what the processors gain.
func (p *prepared) smallTables(ctx context.Context, r *results.Results) error {
	tasks := []func(){
		func() { r.Replanned = p.replanned() },
		func() { r.Completeness = p.completeness() },
		func() { r.Refinements = p.refinements() },
		func() { r.Losses = p.losses() },
		func() { r.Bounds = p.bounds() },
		func() { r.Unplanned, r.Repeats = p.unplannedTable(), p.methodError() },
	}
	return inParallel(ctx, len(tasks), func() func(int) { return func(i int) { tasks[i]() } })
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

func (p *prepared) provenance(version string) results.Provenance {
	date := p.settings.Date
	if date == "" {
		date = p.newest().String()
	}
	return results.Provenance{
		Tool: "shortfall", Version: version, Inputs: p.ds.Files, Settings: p.settings,
		Date: date, Invented: p.ds.Invented,
	}
}

// newest month on record: the date of an audit that was given none.
func (p *prepared) newest() (m casebook.Month) {
	for i := range p.ds.Cases {
		m = max(m, p.ds.Cases[i].Start, p.ds.Cases[i].End)
	}
	for i := range p.ds.Courses {
		m = max(m, p.ds.Courses[i].Start)
	}
	return m
}

// scope describes the cases that contribute an analysed movement.
func (p *prepared) scope() results.Scope {
	s := results.Scope{Practices: []string{}, Movements: len(p.analysed), Last: p.newest()}
	practices, clinicians := map[string]bool{}, map[int]bool{}
	for i := range p.ds.Cases {
		if m := p.ds.Cases[i].Start; m != 0 && (s.First == 0 || m < s.First) {
			s.First = m
		}
		if name := p.ds.Cases[i].Practice; name != "" {
			practices[name] = true
		}
	}
	s.Practices = append(s.Practices, sortedKeys(practices)...)
	for i := range p.cases {
		c := &p.cases[i]
		if c.from == c.to {
			continue
		}
		s.Cases++
		if code := p.clinicianOf[i]; code > 0 {
			clinicians[code] = true
		}
		s.Teeth += distinctTeeth(p.analysed[c.from:c.to])
	}
	s.Clinicians = len(clinicians)
	return s
}

// distinctTeeth of one case, over its courses.
func distinctTeeth(rows []row) int {
	var seen [49]bool
	n := 0
	for i := range rows {
		if t := rows[i].tooth; !seen[t] {
			seen[t] = true
			n++
		}
	}
	return n
}

// ascertained is the share of logged cases, all of them started, that
// contribute an analysed movement.
func (p *prepared) ascertained() results.Share {
	n := 0
	for i := range p.cases {
		if c := &p.cases[i]; c.log != nil && c.to > c.from {
			n++
		}
	}
	return wilsonShare(n, len(p.ds.Cases), p.settings.Level)
}

// exclusions lists everything left out: rejected rows by their rule, logged
// cases without a movement, then the movements in the order of the flow.
func (p *prepared) exclusions() []results.Exclusion {
	out := []results.Exclusion{}
	for _, r := range sortedRejected(p.ds.Rejected) {
		out = append(out, results.Exclusion{
			ID: "rejected-" + r.Rule, Rows: r.Rows, Reason: fmt.Sprintf("%s row rejected on reading: %s", r.Kind, r.Rule),
		})
	}
	if n := p.withoutMovements(); n > 0 {
		out = append(out, results.Exclusion{ID: "no-movements", Cases: n, Reason: "Case in the log without a movement on record"})
	}
	return append(out, p.excluded...)
}

func (p *prepared) withoutMovements() int {
	has := make([]bool, len(p.cases))
	for _, c := range p.clusterOf {
		has[c] = true
	}
	n := 0
	for _, ok := range has {
		if !ok {
			n++
		}
	}
	return n
}
