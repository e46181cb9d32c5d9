package results

import "shortfall/ingest/casebook"

// Refinements counts courses after the initial one.
type Refinements struct {
	Cases        int              `json:"cases"` // finished cases counted
	Distribution []Bar            `json:"distribution"`
	Mean         Spread           `json:"mean"`
	AtLeastOne   Share            `json:"at_least_one"`
	ByStyle      []RefinementRate `json:"by_style"` // by the main style of the initial features
	RateRatio    Difference       `json:"rate_ratio"`
	RateUnadj    Difference       `json:"rate_ratio_unadjusted"`
	Adjusters    []string         `json:"adjusters,omitempty"`
	NotAdjusted  []string         `json:"not_adjusted,omitempty"`
	Model        string           `json:"model,omitempty"`
	Warnings     []Warning        `json:"warnings,omitempty"`
}

// RefinementsUnknown is the warning of completed cases that say nothing of refinements.
const RefinementsUnknown = "refinements-unknown"

// FewRefinements is the warning of styles of which one has too few to compare.
const FewRefinements = "few-refinements"

// CourseNotEnded is the exclusion of movements that belong to no month, and EndNotRecorded
// the warning of those that count in a month of what followed their course.
const (
	CourseNotEnded = "course-not-ended"
	EndNotRecorded = "end-not-recorded"
)

// StatusUnknown is the warning of cases that may be completed or not.
const StatusUnknown = "status-unknown"

// CompletedUnmeasured is the warning of completed cases without an analysed movement.
const CompletedUnmeasured = "completed-unmeasured"

// Bar is one bar of the refinement distribution: 0, 1, 2, 3, 4+.
type Bar struct {
	Label      string `json:"label"`
	Cases      int    `json:"cases"`
	Share      Share  `json:"share"`
	Suppressed bool   `json:"suppressed,omitempty"`
}

// RefinementRate of the cases whose initial features were mainly of one style.
type RefinementRate struct {
	Style        casebook.Style `json:"style"`
	Cases        int            `json:"cases"`
	Refinements  int            `json:"refinements"`
	Rate         Spread         `json:"rate"` // per case
	Distribution []Bar          `json:"distribution"`
	Suppressed   bool           `json:"suppressed,omitempty"`
	Warnings     []Warning      `json:"warnings,omitempty"`
}

// Replanned says how often a planned movement had to be planned again, in the
// same direction, in the next course.
type Replanned struct {
	Axis       casebook.Axis  `json:"axis,omitzero"` // zero: all axes
	Style      casebook.Style `json:"style"`
	Cases      int            `json:"cases"`
	Movements  int            `json:"movements"`
	Again      Share          `json:"again"`
	Suppressed bool           `json:"suppressed,omitempty"`
}

// Loss of features, by style and tooth class (zero class: all teeth).
type Loss struct {
	Style      casebook.Style      `json:"style"`
	ToothClass casebook.ToothClass `json:"tooth_class,omitzero"`
	Cases      int                 `json:"cases"`
	Features   int                 `json:"features"`
	Lost       Share               `json:"lost"`
	Suppressed bool                `json:"suppressed,omitempty"`
}
