package rows

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"shortfall/ingest/casebook"
)

func TestWornMonths(t *testing.T) {
	c := Patient{
		Log: &casebook.Case{ChangeDays: casebook.Some(14), End: casebook.NewMonth(2025, 12)},
		Courses: []casebook.Course{
			{Number: 1, Start: casebook.NewMonth(2024, 1), AlignersUsed: casebook.Some(20)},
			{Number: 2, Start: casebook.NewMonth(2024, 12)},
			{Number: 3, Start: casebook.NewMonth(2025, 5)},
			{Number: 4},
		},
	}
	assert.Equal(t, worn{280 / DaysPerMonth, FromAligners}, WornMonths(&c, 1))
	assert.Equal(t, worn{5, FromNextCourse}, WornMonths(&c, 2))
	assert.Equal(t, worn{}, WornMonths(&c, 3), "the next course has no month, so this one has no end")
	assert.Equal(t, worn{}, WornMonths(&c, 4))
	assert.Equal(t, worn{}, WornMonths(&c, 5))
	c.Courses = c.Courses[:3]
	assert.Equal(t, worn{7, FromCaseEnd}, WornMonths(&c, 3))
}
