package lexicon

// Concept is a meaning that a word can have, in whatever language.
type Concept uint8

// The concepts. None is a word that is not known, Filler one without weight.
const (
	None Concept = iota
	Filler
	// Things.
	Case
	Code
	Number // "no", "nr", "#"
	Count  // "number of"
	Practice
	Clinician
	Age
	Band
	Month
	Status
	Course
	Refinement
	Refinements
	Tooth
	Notation
	Quadrant
	Arch
	Side
	Attachment
	Style
	By
	Changed
	Shape
	Orientation
	Size
	Lost
	Staging
	Wear
	Aligner
	Used
	Interval
	Unit
	Type
	Notes
	Person // a name, a birthday: no field of an audit
	// Roles of an amount.
	Planned
	Target
	Achieved
	Outcome // of a movement its amount, of a case its status
	Residual
	Percent
	Position
	Start  // "start", "beginning", "initial": before, or when
	Before // "before", "pre"
	After  // "after", "post"
	End    // "end", "final": after, or when
	Movement
	Amount
	Direction
	First
	Second
	Measured
	// Units.
	Millimetre
	Degree
	// Movements.
	Vertical
	Extrusion
	Intrusion
	Rotation
	Tip
	Tipping // kind of inclination that needs its direction
	Torque
	Inclination // torque, but for one that is said to be mesiodistal
	Shift
	Mesialise
	Distalise
	Expand
	Constrict
	MD
	BL
	Mesial
	Distal
	Buccal
	Lingual
	Inward
	Outward
	Crown
	Root
	Clockwise
	Anticlockwise
	// Places.
	Upper
	Lower
	Right
	Left
	Up
	Down
	// Words of values.
	Yes
	No
	Nothing // "none", "without"
	Software
	Own // "own", "manual", "modified"
	Rectangle
	Bevel
	Ellipse
	Dome
	VerticalWord
	HorizontalWord
	ObliqueWord
	Completed
	Discontinued
	Switched
	Transferred
	Ongoing
	Good
	Fair
	Poor
	Together
	InTurn
	Total
	Missing
)

type entry struct {
	concept Concept
	lists   []string // one a language: en, de, fr, es, it, pt, nl, pl, and da, no, sv together
}

// vocabulary is every word; a later entry wins where a word stands twice.
var vocabulary = join(things, roles, movementWords, valueWords)

func join(all ...[]entry) []entry {
	var out []entry
	for _, a := range all {
		out = append(out, a...)
	}
	return out
}
