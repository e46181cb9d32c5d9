package casebook

// Case is one patient's treatment under a pseudonym.
type Case struct {
	ID                string // pseudonym, unique in the database
	Practice          string // practice code
	Clinician         string // clinician code
	AgeBand           AgeBand
	Start, End        Month
	Status            Status
	PlannedAligners   Opt[int]
	ChangeDays        Opt[int] // interval between aligners, days
	Wear              Wear
	StatedRefinements Opt[int] // as the practice counted them; checked against the courses
}

// Course is one set of aligners made from one plan. Number 1 is the initial
// course, 2 the first refinement.
type Course struct {
	CaseID          string
	Number          int
	Start           Month
	AlignersPlanned Opt[int]
	AlignersUsed    Opt[int]
}

// Movement is one tooth along one axis in one course. Planned and Achieved are
// signed (see the package comment), in the unit of the axis. Achieved is
// missing where the outcome was not measured.
type Movement struct {
	CaseID        string
	Course        int
	Tooth         Tooth
	Axis          Axis
	Planned       float64
	Achieved      Opt[float64]
	StatedPercent Opt[float64] // expression the practice computed itself; kept, never mixed with measured
	SizeOnly      bool         // the sheet recorded size without direction; taken as positive
	Style         Style
	Shape         Shape
	Orientation   Orientation
	SizeMM        Opt[float64] // longest side of the feature, mm
	Lost          Opt[bool]    // feature lost during the course
	LostMonth     Opt[int]     // whole months worn when it was lost
	Staging       Staging
}

// Direction of the planned movement.
func (m Movement) Direction() Direction { return DirectionOf(m.Axis, m.Planned) }

// Repeat is a second measurement of one achieved movement, for method error.
type Repeat struct {
	CaseID        string
	Course        int
	Tooth         Tooth
	Axis          Axis
	First, Second float64
}

// CaseKey identifies a case.
type CaseKey string

// CourseKey identifies a course.
type CourseKey struct {
	CaseID string
	Number int
}

// MovementKey identifies a movement: one tooth, one axis, one course.
type MovementKey struct {
	CaseID string
	Course int
	Tooth  Tooth
	Axis   Axis
}

// Key of the case.
func (c Case) Key() CaseKey { return CaseKey(c.ID) }

// Key of the course.
func (c Course) Key() CourseKey { return CourseKey{c.CaseID, c.Number} }

// Key of the movement.
func (m Movement) Key() MovementKey { return MovementKey{m.CaseID, m.Course, m.Tooth, m.Axis} }

// Key of the movement that was measured again.
func (r Repeat) Key() MovementKey { return MovementKey{r.CaseID, r.Course, r.Tooth, r.Axis} }
