package results

import (
	"fmt"

	"shortfall/ingest/casebook"
)

// QuestionSettings are the choices behind the analyses beyond the grid. They
// are printed with the results; none has a zero default.
type QuestionSettings struct {
	// LargeMM and LargeDeg make a planned movement large.
	LargeMM  float64 `json:"large_mm"`
	LargeDeg float64 `json:"large_deg"`
	// FitTable names the orientation whose larger face is square to a movement.
	FitTable  []FitRule `json:"fit_table,omitempty"`
	FitSource string    `json:"fit_source"`
	// FunnelMinUnits and FunnelMinCases switch a funnel plot off below them.
	FunnelMinUnits int `json:"funnel_min_units"`
	FunnelMinCases int `json:"funnel_min_cases"`
	// BandShare is the share of new movements the prediction band is meant to hold.
	BandShare float64 `json:"band_share"`
	// TrendQuarters is the least number of quarters with data on either side of
	// a protocol change for a segmented trend.
	TrendQuarters int `json:"trend_quarters"`
	// BaselineQuarters is the least number of baseline quarters of a run chart.
	BaselineQuarters int `json:"baseline_quarters"`
	// SensitivityTables bounds how many comparisons the sensitivity tables repeat
	// beyond the directions over all teeth that have a verdict.
	SensitivityTables int `json:"sensitivity_tables"`
	// RefinementConflict says what happens where a case states another number of
	// refinements than its courses show: the larger counts, or the audit is refused.
	RefinementConflict string `json:"refinement_conflict"`
	// HorizonMonths is the time from the start of treatment by which cases are
	// compared, where a criterion names none.
	HorizonMonths int       `json:"horizon_months"`
	Criteria      *Criteria `json:"criteria,omitempty"`
}

// What happens to cases whose stated and recorded refinements differ.
const (
	LargerCounts   = "larger"
	RefuseConflict = "refuse"
)

// DefaultQuestions are the published or customary defaults.
func DefaultQuestions() QuestionSettings {
	return QuestionSettings{
		// Simon et al. 2014 (BMC Oral Health 14:68) took in torque and derotation
		// above 10 degrees and distalisation above 1.5 mm as demanding movements.
		LargeMM: 1.5, LargeDeg: 10,
		FitTable:  DefaultFitTable(),
		FitSource: "common practice, no source",
		// Small units say nothing: see Verburg et al. 2018 on a minimum volume.
		FunnelMinUnits: 3, FunnelMinCases: 10,
		BandShare: 0.8, TrendQuarters: 3, BaselineQuarters: 4,
		SensitivityTables:  8,
		RefinementConflict: LargerCounts,
		HorizonMonths:      18,
	}
}

// DefaultFitTable is common practice, no source: a vertical long edge for
// rotation and mesiodistal tip, a horizontal one for extrusion and intrusion.
func DefaultFitTable() []FitRule {
	return []FitRule{
		{Axis: casebook.Vertical, Orientation: casebook.HorizontalFace},
		{Axis: casebook.Rotation, Orientation: casebook.VerticalFace},
		{Axis: casebook.Tip, Orientation: casebook.VerticalFace},
	}
}

// Large reports the least plan that counts as large in the unit.
func (q QuestionSettings) Large(u casebook.Unit) float64 {
	if u == casebook.Millimetre {
		return q.LargeMM
	}
	return q.LargeDeg
}

// Check refuses settings that would make a threshold vanish.
func (q QuestionSettings) Check() error {
	switch {
	case !(q.LargeMM > 0 && q.LargeDeg > 0):
		return fmt.Errorf("large movement %v mm, %v degrees: both must be above 0", q.LargeMM, q.LargeDeg)
	case q.FunnelMinUnits < 2 || q.FunnelMinCases < 1:
		return fmt.Errorf("funnel plot from %d units of %d cases: expected at least 2 and 1", q.FunnelMinUnits, q.FunnelMinCases)
	case !(q.BandShare >= 0.5 && q.BandShare < 1):
		return fmt.Errorf("prediction band for a share of %v: expected between 0.5 and 1", q.BandShare)
	case q.TrendQuarters < 2 || q.BaselineQuarters < 2:
		return fmt.Errorf("trend from %d quarters, baseline from %d: expected at least 2", q.TrendQuarters, q.BaselineQuarters)
	case q.SensitivityTables < 1:
		return fmt.Errorf("sensitivity tables %d: expected at least 1", q.SensitivityTables)
	case q.RefinementConflict != LargerCounts && q.RefinementConflict != RefuseConflict:
		return fmt.Errorf("refinement conflict %q: expected %q or %q", q.RefinementConflict, LargerCounts, RefuseConflict)
	case q.HorizonMonths < 1 || q.HorizonMonths > 120:
		return fmt.Errorf("horizon of %d months: expected 1 to 120", q.HorizonMonths)
	}
	return CheckFitTable(q.FitTable)
}

// CheckFitTable wants every rule to be about one axis or one direction, once.
func CheckFitTable(rules []FitRule) error {
	seen := map[FitRule]bool{}
	for i, r := range rules {
		key := FitRule{Axis: r.Axis, Direction: r.Direction}
		switch {
		case r.Orientation == 0:
			return fmt.Errorf("rule %d: needs an orientation: vertical, horizontal or oblique", i+1)
		case (r.Axis == 0) == (r.Direction == 0):
			return fmt.Errorf("rule %d: needs exactly one of axis and direction", i+1)
		case seen[key]:
			return fmt.Errorf("rule %d: the same movement has a rule already: keep one", i+1)
		}
		seen[key] = true
	}
	return nil
}
