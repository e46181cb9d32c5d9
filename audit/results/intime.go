package results

import "shortfall/ingest/casebook"

// InTime sets a later part of the records against the earlier one: expression of the
// courses of either, and cases refined by a horizon.
type InTime struct {
	Now    Stretch `json:"now"`
	Before Stretch `json:"before"`
	// SharedCases have courses in both parts; the intervals allow for it.
	SharedCases int           `json:"shared_cases"`
	Cells       []CellChange  `json:"cells,omitempty"`
	Refined     *CohortChange `json:"refined,omitempty"`
	Sentences   []string      `json:"sentences,omitempty"`
	Suppressed  bool          `json:"suppressed,omitempty"`
	Warnings    []Warning     `json:"warnings,omitempty"`
}

// Stretch is one part of the records in time.
type Stretch struct {
	Name      string         `json:"name"`
	From      casebook.Month `json:"from,omitzero"`
	To        casebook.Month `json:"to,omitzero"`
	Cases     int            `json:"cases"`
	Movements int            `json:"movements,omitempty"`
	// Achieved is what initial courses achieved of what was planned in each unit; none in
	// results that leave the practice.
	Achieved []UnitAchieved `json:"achieved,omitempty"`
}

// UnitAchieved is achieved over planned, total over total, of all movements of one unit
// in a stretch of time: over every kind of movement, and not adjusted.
type UnitAchieved struct {
	Unit      casebook.Unit `json:"unit"`
	Spread    Spread        `json:"spread"`
	Cases     int           `json:"cases"`
	Movements int           `json:"movements"`
}

// StyleAchieved is what was achieved in initial courses under one style; under all of them
// where Style is none of them.
type StyleAchieved struct {
	Style casebook.Style `json:"style,omitzero"`
	Units []UnitAchieved `json:"units"`
}

// MeasureChange is a measure then and now.
type MeasureChange struct {
	Before Number `json:"before"`
	After  Number `json:"after"`
	// Change, its limits and P are those that are judged: adjusted where a cell names
	// its adjusters, else after minus before.
	Change    Number `json:"change"`
	Low       Number `json:"low"`
	High      Number `json:"high"`
	P         Number `json:"p"`
	PAdjusted Number `json:"p_adjusted"` // after Holm, over everything that is compared
	// Changed is true where the change stands after allowing for the number of
	// measures compared.
	Changed bool `json:"changed"`
}

// CellChange is the expression of one cell then and now.
type CellChange struct {
	By              By  `json:"by"`
	CasesBefore     int `json:"cases_before"`
	CasesAfter      int `json:"cases_after"`
	MovementsBefore int `json:"movements_before,omitempty"`
	MovementsAfter  int `json:"movements_after,omitempty"`
	MeasureChange
	Adjusters []string  `json:"adjusters,omitempty"`
	Warnings  []Warning `json:"warnings,omitempty"`
}

// CohortChange is the share of cases refined, and the refinements a case, by a horizon
// from the start of treatment, among cases that reached it then and now.
type CohortChange struct {
	Months int           `json:"months"` // the horizon
	Before Stretch       `json:"before"` // months of start
	Now    Stretch       `json:"now"`
	Share  MeasureChange `json:"share_refined"`
	Count  MeasureChange `json:"refinements_per_case"`
	// OpenCases of the later cohort were not followed up to the horizon.
	OpenCases int       `json:"open_cases,omitempty"`
	Sentence  string    `json:"sentence"`
	Warnings  []Warning `json:"warnings,omitempty"`
}
