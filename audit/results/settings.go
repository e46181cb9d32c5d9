// Package results holds what an audit found and under which choices, as pure
// data: results, settings, criteria, numbers, warnings, definitions, case sheets.
//
// Place in the pipeline: audit and its questions fill these types, report reads
// them. Nothing is computed here; it is the only package of audit that a renderer
// imports. What is here can be saved as JSON and replayed into any renderer.
package results

import (
	"errors"
	"fmt"
	"slices"

	"shortfall/ingest/casebook"
)

// Settings of an audit. They are printed with the results; none has a zero
// default.
type Settings struct {
	Title            string  `json:"title,omitempty"`
	Level            float64 `json:"level"`
	ToleranceMM      float64 `json:"tolerance_mm"`
	ToleranceDeg     float64 `json:"tolerance_deg"`
	SmallestMM       float64 `json:"smallest_plan_mm"`
	SmallestDeg      float64 `json:"smallest_plan_deg"`
	MinCellCases     int     `json:"min_cases_shown"`
	MinIntervalCases int     `json:"min_cases_interval"`
	// MinBothCases is the least number of cases that carry both styles in one mouth
	// for a verdict; MaxMissing the share of outcomes that may be missing in either.
	MinBothCases int     `json:"min_cases_both_styles"`
	MaxMissing   float64 `json:"max_missing_share"`
	// MinAlignersUsed is the share of a course's aligners below which it counts as
	// cut short.
	MinAlignersUsed float64 `json:"min_aligners_used"`
	Alpha           float64 `json:"alpha"`
	// EquivalencePoints is the margin of the equivalence test of a style
	// difference, in points of expression (10: ten of a hundred).
	EquivalencePoints float64 `json:"equivalence_points,omitzero"`
	// WorthPoints is the difference worth knowing, in points, for which power and more
	// cases are told; 0: the margin of equivalence.
	WorthPoints  float64 `json:"worth_points,omitzero"`
	Multiplicity string  `json:"multiplicity"` // "benjamini-hochberg" or "holm"
	// CR2Root says which rows the CR2 variance of a weighted comparison takes as of
	// equal variance: WeightedRows (those times the root of their weight) or
	// EqualVariances (the rows as they are).
	CR2Root string `json:"cr2_root,omitempty"`
	Primary By     `json:"primary"` // the pre-declared primary comparison; zero: none
	// PrimaryDeclared is the month in which Primary was declared: only courses that
	// ended later count for it. PrimaryLooks are the months at which it is judged,
	// which share its level; none: this audit alone.
	PrimaryDeclared casebook.Month    `json:"primary_declared,omitzero"`
	PrimaryLooks    []casebook.Month  `json:"primary_looks,omitempty"`
	Notation        casebook.Notation `json:"notation"`
	// Shared applies the small-number rule, for results that leave the practice.
	Shared bool `json:"shared"`
	// WithClinicians shows the codes of clinicians in shared results too.
	WithClinicians bool   `json:"with_clinicians,omitempty"`
	Date           string `json:"date,omitempty"` // YYYY-MM-DD; empty: the newest record
	// Period and clinician that the audit is about.
	Period Period `json:"period,omitzero"`
	// Questions are the choices behind the analyses beyond the grid.
	Questions QuestionSettings `json:"questions,omitzero"`
}

// The roots of CR2 that a setting names.
const (
	WeightedRows   = "weighted-rows"
	EqualVariances = "equal-variances"
)

// DefaultSettings are the published defaults: tolerance 0.5 mm and 2 degrees,
// smallest meaningful plan 0.2 mm and 2 degrees.
func DefaultSettings() Settings {
	return Settings{
		Level: 0.95, ToleranceMM: 0.5, ToleranceDeg: 2, SmallestMM: 0.2, SmallestDeg: 2,
		MinCellCases: 5, MinIntervalCases: 10, MinBothCases: 10, MaxMissing: 0.2, MinAlignersUsed: 0.9, Alpha: 0.05, EquivalencePoints: 10,
		Multiplicity: "benjamini-hochberg", CR2Root: WeightedRows, Notation: casebook.FDI,
		Questions: DefaultQuestions(),
	}
}

// Tolerance in the unit of the axis.
func (s Settings) Tolerance(u casebook.Unit) float64 {
	if u == casebook.Millimetre {
		return s.ToleranceMM
	}
	return s.ToleranceDeg
}

// Smallest meaningful plan in the unit of the axis.
func (s Settings) Smallest(u casebook.Unit) float64 {
	if u == casebook.Millimetre {
		return s.SmallestMM
	}
	return s.SmallestDeg
}

// leastPlan is finer than anybody measures; multiples of less overflow when squared.
const leastPlan = 1e-6

// leastShared is the fewest cases that a cell of results that leave the practice is of,
// whatever was asked for: below it a number is that of one or two patients. Common
// practice; national rules for small numbers in health data begin at five, some higher.
const leastShared = 5

// Check refuses settings that would make a threshold vanish.
func (s Settings) Check() error {
	switch {
	case !(s.Level > 0.5 && s.Level < 1):
		return fmt.Errorf("confidence level %v: expected between 0.5 and 1", s.Level)
	case !(s.ToleranceMM > 0 && s.ToleranceDeg > 0):
		return fmt.Errorf("tolerance %v mm, %v degrees: both must be above 0", s.ToleranceMM, s.ToleranceDeg)
	case !(s.SmallestMM >= leastPlan && s.SmallestDeg >= leastPlan):
		return fmt.Errorf("smallest plan %v mm, %v degrees: both must be above 0, and no less than %v", s.SmallestMM, s.SmallestDeg, leastPlan)
	case s.MinCellCases < 1 || s.MinIntervalCases < 2:
		return fmt.Errorf("minimum cases %d shown, %d with interval: expected at least 1 and 2", s.MinCellCases, s.MinIntervalCases)
	case s.Shared && s.MinCellCases < leastShared:
		return fmt.Errorf("cells of %d cases in results that leave the practice: expected no fewer than %d: raise --min-cases, or keep them inside", s.MinCellCases, leastShared)
	case s.MinBothCases < 2:
		return fmt.Errorf("minimum cases %d with both styles: expected at least 2", s.MinBothCases)
	case !(s.MaxMissing > 0 && s.MaxMissing < 1):
		return fmt.Errorf("largest share %v of missing outcomes: expected between 0 and 1", s.MaxMissing)
	case !(s.MinAlignersUsed > 0 && s.MinAlignersUsed <= 1):
		return fmt.Errorf("share %v of aligners used below which a course is cut short: expected above 0 and at most 1", s.MinAlignersUsed)
	case s.Primary != (By{}) && s.PrimaryDeclared == 0:
		return fmt.Errorf("a primary comparison without the month in which it was declared: write both into the criteria file, under [primary], before the courses it is judged on have ended")
	case !(s.Alpha > 0 && s.Alpha < 0.5):
		return fmt.Errorf("alpha %v: expected between 0 and 0.5", s.Alpha)
	case !(s.EquivalencePoints > 0 && s.EquivalencePoints < 100):
		return fmt.Errorf("equivalence margin %v points: expected between 0 and 100", s.EquivalencePoints)
	case !(s.WorthPoints >= 0 && s.WorthPoints < 100):
		return fmt.Errorf("difference worth knowing %v points: expected between 0 and 100", s.WorthPoints)
	case s.Multiplicity != "benjamini-hochberg" && s.Multiplicity != "holm":
		return fmt.Errorf("multiplicity %q: expected benjamini-hochberg or holm", s.Multiplicity)
	case s.CR2Root != WeightedRows && s.CR2Root != EqualVariances && s.CR2Root != "":
		return fmt.Errorf("root of CR2 %q: expected %s or %s", s.CR2Root, WeightedRows, EqualVariances)
	}
	if s.Period.Clinician != "" && s.HidesClinicians() {
		return errors.New("an audit of one clinician that leaves the practice would name them: show the codes of clinicians (--with-clinicians), or do not share it")
	}
	if err := s.Period.Check(); err != nil {
		return err
	}
	return s.Questions.Check()
}

// HidesClinicians reports whether no clinician may be told in the results.
func (s Settings) HidesClinicians() bool { return s.Shared && !s.WithClinicians }

// WithoutClinicians takes the codes of clinicians out of what was declared, where
// they are to be hidden.
func (s Settings) WithoutClinicians() Settings {
	if s.HidesClinicians() && s.Questions.Criteria != nil {
		c := *s.Questions.Criteria
		c.ActionsOf = s.Owned(c.ActionsOf)
		s.Questions.Criteria = &c
	}
	return s
}

// Owned are actions with their owners, where these may be told.
func (s Settings) Owned(actions []Action) []Action {
	if !s.HidesClinicians() {
		return actions
	}
	out := slices.Clone(actions)
	for i := range out {
		out[i].Owner = ""
	}
	return out
}

// Day is the month of the audit, where its date is given; else 0.
func (s Settings) Day() casebook.Month {
	if len(s.Date) < 7 {
		return 0
	}
	m, err := casebook.ParseMonth(s.Date[:7])
	if err != nil {
		return 0
	}
	return m
}

// Worth is the difference worth knowing, in points.
func (s Settings) Worth() float64 {
	if s.WorthPoints > 0 {
		return s.WorthPoints
	}
	return s.EquivalencePoints
}

// IsLook reports whether the audit's date is one at which the primary comparison
// may be judged.
func (s Settings) IsLook() bool {
	if len(s.PrimaryLooks) == 0 {
		return true
	}
	for _, m := range s.PrimaryLooks {
		if s.Day() == m {
			return true
		}
	}
	return false
}
