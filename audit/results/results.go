package results

import (
	"shortfall/ingest/casebook"
)

// SchemaVersion of results.json. The major number changes when a field is
// removed or changes meaning, the minor one when a field is added.
const SchemaVersion = "2.0"

// Results is everything an audit found, as data: provenance first, then flow,
// findings and tables. It can be saved as JSON and replayed into any renderer;
// a renderer reads it and decides nothing.
type Results struct {
	SchemaVersion string       `json:"schema_version"`
	Provenance    Provenance   `json:"provenance"`
	Scope         Scope        `json:"scope"`
	Findings      []Finding    `json:"findings"`
	Flow          Flow         `json:"flow"`
	Completeness  []FieldCount `json:"completeness"`
	Expression    []Cell       `json:"expression"`
	// InAll is what was achieved over every kind of movement, and by style as they stand.
	InAll       []StyleAchieved `json:"in_all,omitempty"`
	Comparisons []Comparison    `json:"comparisons"`
	Refinements Refinements     `json:"refinements"`
	FollowUp    FollowUp        `json:"follow_up"`
	Replanned   []Replanned     `json:"replanned"`
	Losses      []Loss          `json:"losses"`
	Repeats     []MethodError   `json:"repeats"`
	Unplanned   []Unplanned     `json:"unplanned"`
	Bounds      []Bound         `json:"bounds"`
	Excluded    []Exclusion     `json:"excluded"`
	Warnings    []Warning       `json:"warnings"` // those of the whole audit
	Cautions    []string        `json:"cautions"`
	Definitions []Definition    `json:"definitions"`
	Methods     []Method        `json:"methods,omitempty"`
	// Columns give every number its definition and its method.
	Columns []Column `json:"columns,omitempty"`
	// Sections are the words of every question, in order of reading.
	Sections []Section `json:"sections,omitempty"`
	// Questions are the analyses beyond the grid.
	Questions Questions `json:"questions,omitzero"`
	// Front is what the first pages say and draw.
	Front Front `json:"front,omitzero"`
}

// Provenance says what was read, by which program, under which settings.
type Provenance struct {
	Tool     string                  `json:"tool"` // "shortfall"
	Version  string                  `json:"version"`
	Inputs   []casebook.ImportedFile `json:"inputs"`
	Settings Settings                `json:"settings"`
	Date     string                  `json:"date"` // explicit, or the newest record's month; never the clock
	Invented bool                    `json:"invented"`
	// Words of the sheets beside ours; none in results that leave the practice.
	Words []casebook.WordRead `json:"words,omitempty"`
}

// Scope says who and what was audited.
type Scope struct {
	Practices  []string       `json:"practices"`
	Clinicians int            `json:"clinicians"`
	First      casebook.Month `json:"first"` // earliest start month
	Last       casebook.Month `json:"last"`  // latest start or end month
	Cases      int            `json:"cases"` // cases with at least one analysed movement
	Movements  int            `json:"movements"`
	Teeth      int            `json:"teeth"` // distinct case and tooth pairs
	// Unstated are the directions in which sizes without direction count, which are
	// taken as positive: nothing that a person reads may claim the direction.
	Unstated []Unstated `json:"unstated,omitempty"`
}

// Unstated is a direction that some of its movements were not recorded with. Alone:
// nothing is on record of the opposite one, and what is known is the axis.
type Unstated struct {
	Direction casebook.Direction `json:"direction"`
	Alone     bool               `json:"alone,omitempty"`
}

// Definition explains one printed measure: name, formula, source. Its id is what
// exhibits and estimates point to.
type Definition struct {
	ID      string `json:"id"`
	Term    string `json:"term"`
	Formula string `json:"formula"`
	Source  string `json:"source,omitempty"`
}
