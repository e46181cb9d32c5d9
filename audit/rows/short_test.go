package rows

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// TestCourseCutShort: a course of which fewer than nine in ten aligners were used
// never tried its plan: its movements are counted and said, and enter nothing.
// Where use is not recorded nothing is assumed.
func TestCourseCutShort(t *testing.T) {
	ds := &casebook.Dataset{}
	course := func(id string, planned, used int) {
		k := casebook.CaseKey{ID: id}
		ds.Cases = append(ds.Cases, casebook.Case{ID: id})
		c := casebook.Course{Case: k, Number: 1, AlignersPlanned: casebook.Some(planned)}
		if used >= 0 {
			c.AlignersUsed = casebook.Some(used)
		}
		ds.Courses = append(ds.Courses, c)
		for i, tooth := range []casebook.Tooth{11, 12} {
			m := casebook.Movement{Case: k, Course: 1, Tooth: tooth, Axis: casebook.Rotation, Planned: 10, Style: casebook.SoftwareSuggested}
			if i == 0 {
				m.Achieved = casebook.Some(4.0)
			}
			ds.Movements = append(ds.Movements, m)
		}
	}
	course("a", 20, 18) // nine in ten: in full
	course("b", 20, 17)
	course("c", 20, -1)
	ds.Movements = append(ds.Movements, casebook.Movement{
		Case: casebook.CaseKey{ID: "b"}, Course: 1, Tooth: 13, Axis: casebook.Rotation, Planned: 10, Style: casebook.SoftwareSuggested, StatedPercent: casebook.Some(50.0),
	})
	p, err := Prepare(ds, results.DefaultSettings())
	require.NoError(t, err)
	assert.Len(t, p.Analysed, 2)
	unknown, courses := p.UseUnknown()
	assert.Equal(t, [2]int{1, 2}, [2]int{unknown, courses}, "course c, of a and c")
	assert.Len(t, p.Missing, 2, "of a and c: what of b has a percentage alone, or nothing, is no missing outcome")
	require.Len(t, p.Short, 2)
	assert.Equal(t, "b", p.Cases[p.Short[0].Cluster].Key.ID)
	var cut *results.Exclusion
	for i := range p.Excluded {
		if p.Excluded[i].ID == "course-cut-short" {
			cut = &p.Excluded[i]
		}
	}
	require.NotNil(t, cut)
	assert.Equal(t, [2]int{2, 1}, [2]int{cut.Movements, cut.Cases})
	assert.Contains(t, cut.Reason, "fewer than 90 %")
	assert.Contains(t, cut.Reason, "40 % of degrees planned")
	steps := p.Flow.Steps
	for i := 1; i < len(steps); i++ { // what enters leaves or goes on
		left := 0
		for _, e := range steps[i-1].Excluded {
			left += e.Movements
		}
		assert.Equal(t, steps[i-1].Movements-left, steps[i].Movements, steps[i].Title)
	}
}

// TestShelf: what was put is taken by one reader alone.
func TestShelf(t *testing.T) {
	var s Shelf
	assert.Nil(t, s.Take())
	a, b := new(int), new(int)
	s.Put(a)
	s.Put(b)
	assert.Same(t, b, s.Take())
	assert.Same(t, a, s.Take())
	assert.Nil(t, s.Take())
}
