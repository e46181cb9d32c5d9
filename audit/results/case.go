package results

import "shortfall/ingest/casebook"

// CaseSheets are the sheets of one or more cases for a study club. They carry
// pseudonyms only; screening for identifiers happens on the way in.
type CaseSheets struct {
	SchemaVersion string      `json:"schema_version"`
	Provenance    Provenance  `json:"provenance"`
	Sheets        []CaseSheet `json:"sheets"`
	Cautions      []string    `json:"cautions"`
}

// CaseSheet is one case on one page.
type CaseSheet struct {
	ID        string           `json:"id"`
	Practice  string           `json:"practice,omitempty"`
	Clinician string           `json:"clinician,omitempty"` // left out of shared sheets
	AgeBand   casebook.AgeBand `json:"age_band,omitzero"`
	Start     casebook.Month   `json:"start,omitzero"`
	End       casebook.Month   `json:"end,omitzero"`
	Status    casebook.Status  `json:"status,omitzero"`
	Wear      casebook.Wear    `json:"wear,omitzero"`
	// Months from the start of treatment to its end; 0: not both are on record.
	Months int `json:"months,omitempty"`
	// Stated is the practice's own count of refinements, nil where it gave none.
	Stated    *int            `json:"stated_refinements,omitempty"`
	Courses   []SheetCourse   `json:"courses"`
	Movements []SheetMovement `json:"movements"`
	// Counts over the movements with a meaningful plan.
	Planned   int       `json:"planned"`
	Measured  int       `json:"measured"`
	Outside   int       `json:"outside_tolerance"`
	Again     int       `json:"planned_again"`
	Changes   int       `json:"style_changes"`
	Lost      *int      `json:"features_lost,omitempty"` // nil where nothing is recorded of any
	Small     int       `json:"below_smallest_plan"`
	Questions []string  `json:"questions"`
	Warnings  []Warning `json:"warnings,omitempty"`
}

// Unrecorded is how many refinements the practice counted of which no course is on
// record: what was planned in them is not known.
func (s *CaseSheet) Unrecorded() int {
	recorded := 0
	for i := range s.Courses {
		recorded = max(recorded, s.Courses[i].Number-1)
	}
	if s.Stated == nil {
		return 0
	}
	return max(0, *s.Stated-recorded)
}

// SheetCourse is one bar of the timeline. Months count from the start of the
// case; Length is 0 where it is not known.
type SheetCourse struct {
	Number   int            `json:"number"`
	Start    casebook.Month `json:"start,omitzero"`
	From     int            `json:"from_month"`
	Length   int            `json:"months"`
	Planned  int            `json:"aligners_planned,omitempty"`
	Used     int            `json:"aligners_used,omitempty"`
	Teeth    int            `json:"teeth"`
	Measured bool           `json:"measured"` // any outcome on record
}

// SheetMovement is one planned movement against the practice's own results.
type SheetMovement struct {
	Course    int                `json:"course"`
	Tooth     casebook.Tooth     `json:"tooth"`
	Axis      casebook.Axis      `json:"axis"`
	Direction casebook.Direction `json:"direction"`
	// SizeOnly: recorded as a size without direction, taken as positive.
	SizeOnly    bool                 `json:"size_only,omitempty"`
	Unit        casebook.Unit        `json:"unit"`
	Planned     Number               `json:"planned"`   // along the planned direction
	Achieved    Number               `json:"achieved"`  // null where not measured
	Shortfall   Number               `json:"shortfall"` // negative: overshoot
	Expression  Number               `json:"expression"`
	Outside     bool                 `json:"outside_tolerance"`
	Style       casebook.Style       `json:"style,omitzero"`
	Shape       casebook.Shape       `json:"shape,omitzero"`
	Orientation casebook.Orientation `json:"orientation,omitzero"`
	Lost        bool                 `json:"lost,omitempty"`
	Staging     casebook.Staging     `json:"staging,omitzero"`
	// Again: planned again, in the same direction, in the next course.
	Again bool `json:"planned_again,omitempty"`
	// StyleBefore is the style of the course before where it was another one.
	StyleBefore casebook.Style `json:"style_before,omitzero"`
	// AgainstTable: the feature's orientation goes against the feature table.
	AgainstTable bool `json:"against_table,omitempty"`
	Band         Band `json:"band,omitzero"`
}

// Band is where a movement stands among the practice's other cases: their
// expression at five percentiles, and the share of them that expressed less.
type Band struct {
	Of        By     `json:"of"` // the cell compared with; widened where it was too small
	Cases     int    `json:"cases"`
	Movements int    `json:"movements"`
	P10       Number `json:"p10"`
	P25       Number `json:"p25"`
	P50       Number `json:"p50"`
	P75       Number `json:"p75"`
	P90       Number `json:"p90"`
	Rank      Number `json:"rank"` // 0 to 1; ties count half
}
