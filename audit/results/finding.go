package results

// FindingKind is what a finding is about.
type FindingKind string

// The kinds of finding.
const (
	FellShort        FindingKind = "short"
	StyleDifference  FindingKind = "style"
	NeededRefinement FindingKind = "refinements"
	SwitchedStyle    FindingKind = "switch"
	ChangedInTime    FindingKind = "change"
	DataQuality      FindingKind = "quality"
)

// FindingKinds are all of them, in the order of reading.
func FindingKinds() []FindingKind {
	return []FindingKind{FellShort, StyleDifference, NeededRefinement, SwitchedStyle, ChangedInTime, DataQuality}
}

// Finding is one plain sentence of the summary page, with what it rests on.
type Finding struct {
	Kind FindingKind `json:"kind"`
	Text string      `json:"text"`
	// Limits says what the finding does not show.
	Limits string `json:"limits,omitempty"`
	// Action is what to consider next; always phrased as a question for the practice.
	Action string `json:"action,omitempty"`
	// Rests are the rows it is made from.
	Rests    []Basis   `json:"rests,omitempty"`
	Warnings []Warning `json:"warnings,omitempty"`
}

// Warning travels with a number to the page, as a footnote on that very cell.
type Warning struct {
	ID     string `json:"id"` // stable, "few-cases"
	Text   string `json:"text"`
	Remedy string `json:"remedy"`
	// Who it is about, "3 cases without a status on record", for sentences of the audit that
	// say so in other words; it is not saved.
	Who string `json:"-"`
}

// FewCases is the warning of a number whose cases are too few for an interval.
const FewCases = "few-cases"

// ListApart is the warning that the case log and the movements do not fit together,
// which stands on the first page too.
const ListApart = "list-apart"
