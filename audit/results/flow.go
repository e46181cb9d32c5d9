package results

import "shortfall/ingest/casebook"

// Flow counts from rows read to movements analysed. Every step reconciles:
// what enters equals what is excluded plus what goes on.
type Flow struct {
	// Rows of the files read, without files that have a later version.
	Rows casebook.Counts `json:"rows"`
	// EarlierVersions is the number of those files.
	EarlierVersions int `json:"earlier_versions,omitempty"`
	// Superseded counts records that a file of corrections replaced.
	Superseded    int           `json:"superseded"`
	CasesLogged   int           `json:"cases_logged"`
	CasesByStatus []StatusCount `json:"cases_by_status"`
	Steps         []FlowStep    `json:"steps"`
	// Ascertainment is the share of logged, started cases that contribute an
	// analysed movement.
	Ascertained Share `json:"ascertained"`
}

// FlowStep is one box of the flow diagram, counted in movements and cases.
type FlowStep struct {
	Title     string      `json:"title"`
	Movements int         `json:"movements"`
	Cases     int         `json:"cases"`
	Excluded  []Exclusion `json:"excluded,omitempty"` // leave at this step
	// Suppressed: the number of cases is withheld; movements stand.
	Suppressed bool `json:"suppressed,omitempty"`
}

// Exclusion is a counted reason to leave something out.
type Exclusion struct {
	ID        string `json:"id"` // stable, "below-smallest-plan"
	Reason    string `json:"reason"`
	Rows      int    `json:"rows,omitempty"`
	Movements int    `json:"movements,omitempty"`
	Cases     int    `json:"cases,omitempty"`
	// Suppressed: the number of cases is withheld; rows and movements stand.
	Suppressed bool `json:"suppressed,omitempty"`
}

// StatusCount counts cases by status in the case log.
type StatusCount struct {
	Status     casebook.Status `json:"status"` // "" where not recorded
	Cases      int             `json:"cases"`
	Suppressed bool            `json:"suppressed,omitempty"`
}

// FieldCount is the completeness of one field.
type FieldCount struct {
	Record     string `json:"record"`
	Field      string `json:"field"`
	Recorded   int    `json:"recorded"`
	Total      int    `json:"total"`
	Suppressed bool   `json:"suppressed,omitempty"`
}
