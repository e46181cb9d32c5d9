package results

import "shortfall/ingest/casebook"

// FollowUp follows the cases of the log from the month they started: refinements in
// time, cases still under way censored at the last look at their practice,
// other endings competing.
type FollowUp struct {
	Cases int `json:"cases"` // followed
	// LastLook is the last month in which anything is known to have happened.
	LastLook casebook.Month `json:"last_look,omitzero"`
	Left     []Exclusion    `json:"left_out,omitempty"`
	Ended    []Ending       `json:"endings,omitempty"`  // how the followed cases stood at the last look
	At       []Horizon      `json:"horizons,omitempty"` // where enough cases are known that long
	Curve    []CurveStep    `json:"curve,omitempty"`    // month by month, up to the last horizon
	Method   string         `json:"method,omitempty"`
	// Suppressed: withheld by the small-number rule.
	Suppressed bool      `json:"suppressed,omitempty"`
	Warnings   []Warning `json:"warnings,omitempty"`
}

// Ending counts the followed cases by how they stood.
type Ending struct {
	Status string `json:"status"` // of the case log
	Cases  int    `json:"cases"`
}

// Horizon is the state of things so many months after the start.
type Horizon struct {
	Months int `json:"months"`
	// Refined is the cumulative incidence of a first refinement.
	Refined Spread `json:"refined"`
	// Ended is that of an end without any refinement: completed, discontinued,
	// switched or transferred.
	Ended Number `json:"ended_unrefined"`
	// Count is the mean number of refinements a case.
	Count Spread `json:"refinements_per_case"`
	// KnownCases have a complete history up to the horizon, OpenCases were still under
	// observation just before it.
	KnownCases int `json:"known_cases"`
	OpenCases  int `json:"open_cases"`
}

// CurveStep is one month of the curves.
type CurveStep struct {
	Month   int    `json:"month"`
	Refined Number `json:"refined"`
	Low     Number `json:"low"`
	High    Number `json:"high"`
	Count   Number `json:"refinements_per_case"`
}
