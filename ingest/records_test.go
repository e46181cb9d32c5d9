package ingest

import (
	"cmp"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	. "shortfall/ingest/casebook"
)

// records are the values of a batch in key order, without their origin.
type records struct {
	Cases     []Case
	Courses   []Course
	Movements []Movement
	Repeats   []Repeat
}

func valuesOf[T any](rs []Record[T]) []T {
	out := []T{}
	for _, r := range rs {
		out = append(out, r.Value)
	}
	slices.SortFunc(out, func(a, b T) int {
		return cmp.Compare(fmt.Sprintf("%v %+v", keyOf(a), a), fmt.Sprintf("%v %+v", keyOf(b), b))
	})
	return out
}

// keyOf is the key of a value, by which values are ordered wherever they lie in memory.
func keyOf(value any) any {
	switch v := value.(type) {
	case Case:
		return v.Key()
	case Course:
		return v.Key()
	case Movement:
		return v.Key()
	case Repeat:
		return v.Key()
	}
	return nil
}

func recordsOf(b *Batch) records {
	return records{valuesOf(b.Cases), valuesOf(b.Courses), valuesOf(b.Movements), valuesOf(b.Repeats)}
}

func (r records) sorted() records {
	wrap := func() *Batch {
		b := &Batch{}
		for _, v := range r.Cases {
			b.Cases = append(b.Cases, Record[Case]{Value: v})
		}
		for _, v := range r.Courses {
			b.Courses = append(b.Courses, Record[Course]{Value: v})
		}
		for _, v := range r.Movements {
			b.Movements = append(b.Movements, Record[Movement]{Value: v})
		}
		for _, v := range r.Repeats {
			b.Repeats = append(b.Repeats, Record[Repeat]{Value: v})
		}
		return b
	}
	return recordsOf(wrap())
}

func month(y, m int) Month { return NewMonth(y, m) }

// standard is the invented set of testdata/make/data.py, written out here by
// hand from its tables.
var standard = records{
	Cases: []Case{
		{
			ID: "A1", Practice: "P1", Clinician: "C1", AgeBand: Age18To29, Start: month(2024, 2), End: month(2024, 12), Status: Completed,
			PlannedAligners: Some(22), ChangeDays: Some(7), Wear: WearGood, StatedRefinements: Some(1),
		},
		{
			ID: "A2", Practice: "P1", Clinician: "C2", AgeBand: Age30To44, Start: month(2024, 3), Status: UnderTreatment,
			PlannedAligners: Some(18), ChangeDays: Some(10), Wear: WearFair, StatedRefinements: Some(0),
		},
		{
			ID: "A3", Practice: "P1", Clinician: "C1", AgeBand: Age12To17, Start: month(2024, 4), End: month(2025, 1), Status: Completed,
			PlannedAligners: Some(30), ChangeDays: Some(7), Wear: WearPoor, StatedRefinements: Some(0),
		},
	},
	Courses: []Course{
		{Case: CaseKey{Practice: "P1", ID: "A1"}, Number: 1, Start: month(2024, 2), AlignersPlanned: Some(22), AlignersUsed: Some(22)},
		{Case: CaseKey{Practice: "P1", ID: "A1"}, Number: 2, Start: month(2024, 9), AlignersPlanned: Some(8), AlignersUsed: Some(8)},
		{Case: CaseKey{Practice: "P1", ID: "A2"}, Number: 1, Start: month(2024, 3), AlignersPlanned: Some(18)},
		{Case: CaseKey{Practice: "P1", ID: "A3"}, Number: 1, Start: month(2024, 4), AlignersPlanned: Some(30), AlignersUsed: Some(29)},
	},
	Movements: []Movement{
		{
			Case: CaseKey{Practice: "P1", ID: "A1"}, Course: 1, Tooth: 13, Axis: Rotation, Planned: 18.5, Achieved: Some(13.25), Style: ClinicianDesigned,
			Shape: Wedge, Orientation: VerticalFace, SizeMM: Some(4.0), Lost: Some(false), Staging: Combined,
		},
		{
			Case: CaseKey{Practice: "P1", ID: "A1"}, Course: 1, Tooth: 22, Axis: Vertical, Planned: 1.25, Achieved: Some(0.5), Style: SoftwareSuggested,
			Shape: Oval, Orientation: HorizontalFace, SizeMM: Some(3.0), Lost: Some(true), LostMonth: Some(2), Staging: Sequenced,
		},
		{Case: CaseKey{Practice: "P1", ID: "A1"}, Course: 1, Tooth: 36, Axis: Tip, Planned: -6, Achieved: Some(-4.5), Style: StyleNone},
		{Case: CaseKey{Practice: "P1", ID: "A1"}, Course: 2, Tooth: 13, Axis: Rotation, Planned: 5.25, Achieved: Some(4.0), Style: ClinicianDesigned},
		{Case: CaseKey{Practice: "P1", ID: "A2"}, Course: 1, Tooth: 41, Axis: Torque, Planned: -8, Style: SoftwareSuggested},
		{Case: CaseKey{Practice: "P1", ID: "A3"}, Course: 1, Tooth: 45, Axis: MesiodistalShift, Planned: 1.5, Achieved: Some(1.5), Style: StyleNone},
		{Case: CaseKey{Practice: "P1", ID: "A3"}, Course: 1, Tooth: 45, Axis: Vertical, Planned: -0.75, Achieved: Some(0.0), Style: StyleNone},
		{Case: CaseKey{Practice: "P1", ID: "A3"}, Course: 1, Tooth: 24, Axis: BuccolingualShift, Planned: 2, Style: StyleNone},
		{Case: CaseKey{Practice: "P1", ID: "A3"}, Course: 1, Tooth: 33, Axis: Rotation, Planned: 0, Achieved: Some(1.5), Style: StyleNone},
	},
	Repeats: []Repeat{
		{Case: CaseKey{Practice: "P1", ID: "A1"}, Course: 1, Tooth: 13, Axis: Rotation, First: 13.25, Second: 13.75},
		{Case: CaseKey{Practice: "P1", ID: "A3"}, Course: 1, Tooth: 45, Axis: Vertical, First: 0, Second: 0.125},
	},
}.sorted()

// without gives the records less some of them.
func (r records) without(drop func(any) bool) records {
	return records{
		slices.DeleteFunc(slices.Clone(r.Cases), func(v Case) bool { return drop(v) }),
		slices.DeleteFunc(slices.Clone(r.Courses), func(v Course) bool { return drop(v) }),
		slices.DeleteFunc(slices.Clone(r.Movements), func(v Movement) bool { return drop(v) }),
		slices.DeleteFunc(slices.Clone(r.Repeats), func(v Repeat) bool { return drop(v) }),
	}
}

func isRepeat(v any) bool { _, ok := v.(Repeat); return ok }

// little is the set of three movements of data.py.
var little = records{
	Cases:   []Case{{ID: "B1", Status: Completed}, {ID: "B2", Status: Completed}},
	Courses: []Course{{Case: CaseKey{ID: "B1"}, Number: 1}, {Case: CaseKey{ID: "B2"}, Number: 1}},
	Movements: []Movement{
		{Case: CaseKey{ID: "B1"}, Course: 1, Tooth: 13, Axis: Rotation, Planned: 12.5, Achieved: Some(10.0)},
		{Case: CaseKey{ID: "B1"}, Course: 1, Tooth: 45, Axis: Vertical, Planned: -1.5, Achieved: Some(-1.25)},
		{Case: CaseKey{ID: "B2"}, Course: 1, Tooth: 33, Axis: Torque, Planned: -4, Achieved: Some(1.0)},
	},
	Repeats: []Repeat{},
}.sorted()

// first13 is the movement of the little set that most fixtures spoil.
func first13(v any) bool { m, ok := v.(Movement); return ok && m.Tooth == 13 }

// littleCourse is the little set whose first course, on a table of its own, is
// of January 2024 and had as many aligners.
func littleCourse(aligners int) records {
	r := little
	r.Courses = slices.Clone(r.Courses)
	c := &r.Courses[0]
	c.Start, c.AlignersPlanned, c.AlignersUsed = NewMonth(2024, 1), Some(aligners), Some(aligners)
	return r
}

// with changes one movement of the little set.
func with(tooth Tooth, change func(*Movement)) records {
	r := little
	r.Movements = slices.Clone(r.Movements)
	for i := range r.Movements {
		if r.Movements[i].Tooth == tooth {
			change(&r.Movements[i])
		}
	}
	return r.sorted()
}

func sameRecords(t *testing.T, want, got records, name string) {
	t.Helper()
	assert.Equal(t, want.Cases, got.Cases, "%s: cases", name)
	assert.Equal(t, want.Courses, got.Courses, "%s: courses", name)
	assert.Equal(t, want.Movements, got.Movements, "%s: movements", name)
	assert.Equal(t, want.Repeats, got.Repeats, "%s: repeats", name)
}

// is finds the movements of a tooth, or everything of a case.
func is(what any) func(any) bool {
	return func(v any) bool {
		switch v := v.(type) {
		case Movement:
			n, _ := what.(int)
			return v.Tooth == Tooth(n) || v.Case.ID == what
		case Case:
			return v.ID == what
		case Course:
			return v.Case.ID == what
		}
		return false
	}
}

func styled(styles map[Tooth]Style) records {
	r := little
	r.Movements = slices.Clone(r.Movements)
	for i := range r.Movements {
		r.Movements[i].Style = styles[r.Movements[i].Tooth]
	}
	return r.sorted()
}

var wedge45 = func() records {
	r := styled(map[Tooth]Style{33: StyleNone})
	for i := range r.Movements {
		if r.Movements[i].Tooth == 45 {
			r.Movements[i].Shape = Wedge
		}
	}
	return r.sorted()
}()

// renamed gives the first movement to a case of its own.
func renamed(id string) records {
	r := with(13, func(m *Movement) { m.Case.ID = id })
	r.Cases = append(slices.Clone(r.Cases), Case{ID: id, Status: Completed})
	r.Courses = append(slices.Clone(r.Courses), Course{Case: CaseKey{ID: id}, Number: 1})
	return r.sorted()
}

func started(id string, m Month) records {
	r := little
	r.Cases = slices.Clone(r.Cases)
	for i := range r.Cases {
		if r.Cases[i].ID == id {
			r.Cases[i].Start = m
		}
	}
	return r.sorted()
}

func inPractice(p string) records { return little.placed(func(string) string { return p }) }

// unplaced is what a file gives that names no practice for some of its cases:
// all of them where none is given.
func (r records) unplaced(ids ...string) records {
	return r.placed(func(id string) string {
		if len(ids) == 0 || slices.Contains(ids, id) {
			return ""
		}
		return "P1"
	})
}

func (r records) placed(practice func(id string) string) records {
	r = records{slices.Clone(r.Cases), slices.Clone(r.Courses), slices.Clone(r.Movements), slices.Clone(r.Repeats)}
	for i := range r.Cases {
		r.Cases[i].Practice = practice(r.Cases[i].ID)
	}
	for i := range r.Courses {
		r.Courses[i].Case.Practice = practice(r.Courses[i].Case.ID)
	}
	for i := range r.Movements {
		r.Movements[i].Case.Practice = practice(r.Movements[i].Case.ID)
	}
	for i := range r.Repeats {
		r.Repeats[i].Case.Practice = practice(r.Repeats[i].Case.ID)
	}
	return r.sorted()
}

// sizesOfRotation is the standard set where rotations are written without a
// direction among movements that have one.
func sizesOfRotation() records {
	r := standard
	r.Movements = slices.Clone(r.Movements)
	for i, m := range r.Movements {
		r.Movements[i].SizeOnly = m.Axis == Rotation && m.Planned != 0
	}
	return r.sorted()
}

func course2(change func(*Course)) records {
	r := standard
	r.Courses = slices.Clone(r.Courses)
	for i := range r.Courses {
		if r.Courses[i].Number == 2 {
			change(&r.Courses[i])
		}
	}
	return r.sorted()
}

func oneDated(m Month) records {
	return records{
		[]Case{{ID: "B1", Status: Completed, Start: m}},
		[]Course{{Case: CaseKey{ID: "B1"}, Number: 1}},
		[]Movement{{Case: CaseKey{ID: "B1"}, Course: 1, Tooth: 43, Axis: Rotation, Planned: 12.5, Achieved: Some(10.0)}},
		[]Repeat{},
	}
}

var percented = func() records {
	r := little
	r.Movements = slices.Clone(r.Movements)
	for i := range r.Movements {
		r.Movements[i].StatedPercent = Some(map[Tooth]float64{13: 80, 45: 83, 33: -25}[r.Movements[i].Tooth])
	}
	return r.sorted()
}()

// percentOnly is the little set with nothing measured.
func percentOnly() records {
	r := percented
	r.Movements = slices.Clone(r.Movements)
	for i := range r.Movements {
		r.Movements[i].Achieved = Opt[float64]{}
	}
	return r.sorted()
}
