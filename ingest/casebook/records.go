package casebook

import (
	"cmp"
	"strconv"
	"strings"
)

// Case is one patient's treatment under a pseudonym.
type Case struct {
	ID                string // pseudonym, unique in its practice
	Practice          string // practice code, "" for the unnamed practice
	Clinician         string // clinician code
	AgeBand           AgeBand
	Start, End        Month
	Status            Status
	PlannedAligners   Opt[int]
	ChangeDays        Opt[int] // interval between aligners, days
	Wear              Wear
	WearRecorded      Timing   // whether the wear was rated before the outcome was known
	StatedRefinements Opt[int] // as the practice counted them; checked against the courses
	Own               Own      // words of the practice's own, where those of the vocabulary are missing
}

// Own are categories in a practice's own words, screened for identifiers and found
// in enough cases to single nobody out; "" where a word of the vocabulary is known,
// or nothing.
type Own struct {
	AgeBand, Wear, Status string
}

// OtherCategory stands for own words that are too rare or too telling to be kept.
const OtherCategory = "other"

// Of gives the place of a category by the name of its column, nil for another one.
func (o *Own) Of(column string) *string {
	switch column {
	case "age band":
		return &o.AgeBand
	case "wear":
		return &o.Wear
	case "status":
		return &o.Status
	}
	return nil
}

// Bare is what may leave the practice of own words: a range of years in our own
// writing, "other" for all else that was filled.
func (o Own) Bare() Own {
	hide := func(s string) string {
		if s == "" {
			return ""
		}
		return OtherCategory
	}
	out := Own{AgeBand: hide(o.AgeBand), Wear: hide(o.Wear), Status: hide(o.Status)}
	if from, to, ok := yearsOf(o.AgeBand); ok {
		out.AgeBand = strconv.Itoa(from) + "-" + strconv.Itoa(to)
	}
	return out
}

// AgeOrder places the age of a case on the scale of the age bands: its band, or the
// one in which the middle of its own range of years lies. ok is false where neither
// is known.
func (c Case) AgeOrder() (band AgeBand, ok bool) {
	if c.AgeBand != NoAgeBand {
		return c.AgeBand, true
	}
	from, to, ok := yearsOf(c.Own.AgeBand)
	if !ok {
		return NoAgeBand, false
	}
	return AgeBandOf((from + to) / 2), true
}

// yearsOf reads a range of years in own words: "40-49", "40 – 49 years", "40 bis 49".
func yearsOf(s string) (from, to int, ok bool) {
	var n []int
	for _, w := range strings.FieldsFunc(s, func(r rune) bool { return r < '0' || r > '9' }) {
		v, err := strconv.Atoi(w)
		if err != nil || v > 120 {
			return 0, 0, false
		}
		n = append(n, v)
	}
	if len(n) != 2 || n[0] > n[1] {
		return 0, 0, false
	}
	return n[0], n[1], true
}

// Course is one set of aligners made from one plan. Number 1 is the initial
// course, 2 the first refinement.
type Course struct {
	Case            CaseKey
	Number          int
	Start           Month
	AlignersPlanned Opt[int]
	AlignersUsed    Opt[int]
	MeasuredBy      Method // of the movements of the course that say nothing themselves
}

// Movement is one tooth along one axis in one course. Planned and Achieved are
// signed (see the package comment), in the unit of the axis. Achieved is
// missing where the outcome was not measured.
type Movement struct { // millions of them: fields by size, so that little room lies between them
	Case          CaseKey
	Course        int
	Planned       float64
	Achieved      Opt[float64]
	StatedPercent Opt[float64] // expression the practice computed itself; kept, never mixed with measured
	SizeMM        Opt[float64] // longest side of the feature, mm
	LostMonth     Opt[int]     // whole months worn when it was lost
	Lost          Opt[bool]    // feature lost during the course
	Tooth         Tooth
	Axis          Axis
	SizeOnly      bool // the sheet recorded size without direction; taken as positive
	Style         Style
	Shape         Shape
	Orientation   Orientation
	Staging       Staging
	MeasuredBy    Method
	Confirmed     Confirmation // of amounts that can hardly be right
}

// Direction of the planned movement.
func (m Movement) Direction() Direction { return DirectionOf(m.Axis, m.Planned) }

// Repeat is a second measurement of one achieved movement, for method error.
type Repeat struct {
	Case          CaseKey
	Course        int
	Tooth         Tooth
	Axis          Axis
	First, Second float64
}

// CaseKey identifies a case: two practices may use the same pseudonyms.
type CaseKey struct {
	Practice string // "" is the unnamed practice
	ID       string
}

// Compare orders cases by pseudonym, then practice.
func (k CaseKey) Compare(o CaseKey) int {
	return cmp.Or(cmp.Compare(k.ID, o.ID), cmp.Compare(k.Practice, o.Practice))
}

// String is the pseudonym, with its practice where that has a name.
func (k CaseKey) String() string {
	if k.Practice == "" {
		return k.ID
	}
	return k.ID + " of practice " + k.Practice
}

// CourseKey identifies a course.
type CourseKey struct {
	Case   CaseKey
	Number int
}

// MovementKey identifies a movement: one tooth, one axis, one course.
type MovementKey struct {
	Case   CaseKey
	Course int
	Tooth  Tooth
	Axis   Axis
}

// Split parts the key of a case from what tells its records apart.
func (k CaseKey) Split() (CaseKey, uint64) { return k, 0 }

// Split is CaseKey.Split.
func (k CourseKey) Split() (CaseKey, uint64) { return k.Case, uint64(k.Number) }

// Split is CaseKey.Split.
func (k MovementKey) Split() (CaseKey, uint64) {
	return k.Case, uint64(k.Course)<<16 | uint64(k.Tooth)<<8 | uint64(k.Axis)
}

// Key of the case.
func (c Case) Key() CaseKey { return CaseKey{Practice: c.Practice, ID: c.ID} }

// Key of the course.
func (c Course) Key() CourseKey { return CourseKey{c.Case, c.Number} }

// Key of the movement.
func (m Movement) Key() MovementKey { return MovementKey{m.Case, m.Course, m.Tooth, m.Axis} }

// Key of the movement that was measured again.
func (r Repeat) Key() MovementKey { return MovementKey{r.Case, r.Course, r.Tooth, r.Axis} }
