package audit

import (
	"fmt"

	"shortfall/audit/ask/switches"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// Trail leads from a number of results to the movements and cases behind it. It is
// for use inside the practice: it names every case.
type Trail struct{ set *rows.Set }

// Follow makes the trail of the results that Run gives for the same dataset and
// settings. The dataset is not changed.
func Follow(ds *casebook.Dataset, s results.Settings) (*Trail, error) {
	if err := s.Check(); err != nil {
		return nil, fmt.Errorf("audit: %w", err)
	}
	p, err := rows.Prepare(ds, s)
	if err != nil {
		return nil, fmt.Errorf("audit: %w", err)
	}
	return &Trail{p}, nil
}

// Step is one movement behind a number. Planned is positive and Achieved is along the
// planned direction, both in the unit of the axis.
type Step struct {
	Case      casebook.CaseKey
	Course    int
	Tooth     casebook.Tooth
	Direction casebook.Direction
	Style     casebook.Style
	Planned   float64
	Achieved  float64
	Outside   bool // of the tolerance
}

// Unit of planned and achieved.
func (s *Step) Unit() casebook.Unit { return s.Direction.Axis().Unit() }

// Movements lists the analysed movements of a cell of the grid, in key order, and
// counts their cases. Where a quarter is named ("2025 Q1"), only courses begun in it.
func (t *Trail) Movements(by results.By, quarter string) (steps []Step, cases int) {
	var n rows.CaseCounter
	for i := range t.set.Analysed {
		r := rows.RowAt(t.set.Analysed, i)
		if !rows.Holds(by, r) || quarter != "" && t.set.CourseStart(r.Cluster, r.Movement.Course).Quarter() != quarter {
			continue
		}
		n.Add(r.Cluster)
		steps = append(steps, t.step(r))
	}
	return steps, n.N
}

func (t *Trail) step(r *rows.Row) Step {
	return Step{
		Case: r.Movement.Case, Course: r.Movement.Course, Tooth: r.Tooth, Direction: r.Direction, Style: r.Style,
		Planned: r.Planned, Achieved: r.Achieved, Outside: r.Outside(&t.set.Settings),
	}
}

// Path lists the movements that fell short along an axis under one style and were planned
// again under another, or the same: each in the course that fell short and, right after
// it, in the next. It counts their cases.
func (t *Trail) Path(axis casebook.Axis, from, to casebook.Style) (steps []Step, cases int) {
	patients := map[int]bool{}
	switches.Followed(t.set, axis, from, to, func(first, next *rows.Row) {
		steps = append(steps, t.step(first), t.step(next))
		patients[first.Cluster] = true
	})
	return steps, len(patients)
}

// CaseStep is one case behind a number of cases.
type CaseStep struct {
	Case        casebook.CaseKey
	Start       casebook.Month
	Status      casebook.Status
	Refinements int
	Known       bool // how many refinements there were
}

// Finished lists the completed cases with so many refinements, or with at least so
// many, as the bar of refinements counts them; where a style is named, those whose first
// attachments are mainly of it.
func (t *Trail) Finished(refinements int, orMore bool, main casebook.Style) (out []CaseStep) {
	for _, f := range t.set.FinishedCases() {
		if main != casebook.NoStyle && f.Main != main {
			continue
		}
		if f.Refinements == refinements || orMore && f.Refinements > refinements {
			out = append(out, t.caseStep(f.Patient, f.Refinements, true))
		}
	}
	return out
}

// Cases lists every case that the audit knows; of a quarter, those begun in it.
func (t *Trail) Cases(quarter string) (out []CaseStep) {
	for i, c := range t.set.RefinementCounts() {
		s := t.caseStep(i, c.Refinements, c.Known)
		if quarter == "" || s.Start.Quarter() == quarter {
			out = append(out, s)
		}
	}
	return out
}

func (t *Trail) caseStep(i, refinements int, known bool) CaseStep {
	p := &t.set.Cases[i]
	s := CaseStep{Case: p.Key, Refinements: refinements, Known: known}
	if p.Log != nil {
		s.Start, s.Status = p.Log.Start, p.Log.Status
	}
	return s
}
