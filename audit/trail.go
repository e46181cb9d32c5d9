package audit

import (
	"fmt"
	"math"

	"shortfall/audit/ask/followup"
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
	Axis      casebook.Axis
	Direction casebook.Direction
	Style     casebook.Style
	Planned   float64
	Achieved  float64
	Outside   bool // of the tolerance
}

// Unit of planned and achieved.
func (s *Step) Unit() casebook.Unit { return s.Axis.Unit() }

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

// Sized is Movements of which so much was planned: at least from and less than below, in
// the unit of the axis; NaN is no bound.
func (t *Trail) Sized(by results.By, from, below float64) (steps []Step, cases int) {
	all, _ := t.Movements(by, "")
	seen := map[casebook.CaseKey]bool{}
	for _, s := range all {
		if s.Planned < from || s.Planned >= below {
			continue
		}
		seen[s.Case] = true
		steps = append(steps, s)
	}
	return steps, len(seen)
}

// InFlow reports whether the movements of a step of the flow, by its place among
// results.Flow.Steps, can be listed; leave asks for those that leave before the next step.
func (t *Trail) InFlow(step int, leave bool) bool {
	return step >= 0 && step < len(t.set.Stages) && t.set.Listed(t.set.Stages[step]) &&
		(!leave || step < len(t.set.Flow.Steps) && len(t.set.Flow.Steps[step].Excluded) > 0)
}

// Flow lists the movements that are at a step of the flow, or leave before the next, in
// key order, and counts their cases. Achieved is NaN where it was not measured, and the
// direction none where nothing was planned.
func (t *Trail) Flow(step int, leave bool) (steps []Step, cases int) {
	if !t.InFlow(step, leave) {
		return nil, 0
	}
	stage := t.set.Stages[step]
	var n rows.CaseCounter
	for i, m := range t.set.Order {
		at := t.set.Stage(m, t.set.ClusterOf[i])
		if at < stage || leave && at > stage {
			continue
		}
		n.Add(t.set.ClusterOf[i])
		s := Step{Case: m.Case, Course: m.Course, Tooth: m.Tooth, Axis: m.Axis, Direction: m.Direction(), Style: m.Style, Planned: math.Abs(m.Planned), Achieved: math.NaN()}
		if m.Achieved.OK {
			s.Achieved = m.Achieved.Value
			if d := s.Direction; d != casebook.NoDirection {
				s.Achieved *= d.Sign()
			}
			s.Outside = rows.Beyond(s.Planned-s.Achieved, m.Axis.Unit(), &t.set.Settings)
		}
		steps = append(steps, s)
	}
	return steps, n.N
}

func (t *Trail) step(r *rows.Row) Step {
	return Step{
		Case: r.Movement.Case, Course: r.Movement.Course, Tooth: r.Tooth, Axis: r.Axis, Direction: r.Direction, Style: r.Style,
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

// Followed lists the cases that the curve of first refinements follows.
func (t *Trail) Followed() (out []CaseStep) {
	counts := t.set.RefinementCounts()
	histories, _ := followup.Followed(t.set)
	for i := range histories {
		h := &histories[i]
		out = append(out, t.caseStep(h.Patient, counts[h.Patient].Refinements, counts[h.Patient].Known))
	}
	return out
}

// Of lists the cases of a clinician, by the code under which funnels name one, or of a
// practice.
func (t *Trail) Of(clinician, practice string) (out []CaseStep) {
	for i, c := range t.set.RefinementCounts() {
		log := t.set.Cases[i].Log
		if log == nil || clinician != "" && t.set.UnitCode(log) != clinician || practice != "" && log.Practice != practice {
			continue
		}
		out = append(out, t.caseStep(i, c.Refinements, c.Known))
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
