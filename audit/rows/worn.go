package rows

import (
	"shortfall/audit/results"
)

// DaysPerMonth is the mean length of a month (365.25 / 12).
const DaysPerMonth = 30.4375

// ExposureSource says where the months worn come from, best first.
type ExposureSource uint8

const (
	NoExposure ExposureSource = iota
	FromAligners
	FromNextCourse
	FromCaseEnd
)

var ExposureReasons = map[ExposureSource]results.Exclusion{
	FromAligners:   {ID: "aligners-used", Reason: "aligners used x change interval"},
	FromNextCourse: {ID: "next-course", Reason: "start of the course to start of the next"},
	FromCaseEnd:    {ID: "case-end", Reason: "start of the course to end of the case"},
}

// worn is how long a course was worn.
type worn struct {
	Months float64
	Source ExposureSource
}

// WornMonths of one course: aligners used x change interval, else the time to
// the next course, else (last course) to the end of the case.
func WornMonths(c *Patient, number int) worn {
	at := -1
	for i := range c.Courses {
		if c.Courses[i].Number == number {
			at = i
		}
	}
	if at < 0 {
		return worn{}
	}
	k := &c.Courses[at]
	if c.Log != nil && k.AlignersUsed.OK && c.Log.ChangeDays.OK && k.AlignersUsed.Value > 0 && c.Log.ChangeDays.Value > 0 {
		return worn{float64(k.AlignersUsed.Value*c.Log.ChangeDays.Value) / DaysPerMonth, FromAligners}
	}
	if k.Start == 0 {
		return worn{}
	}
	if at+1 < len(c.Courses) {
		if next := c.Courses[at+1].Start; next > k.Start {
			return worn{float64(next - k.Start), FromNextCourse}
		}
		return worn{}
	}
	if c.Log != nil && c.Log.End > k.Start {
		return worn{float64(c.Log.End - k.Start), FromCaseEnd}
	}
	return worn{}
}
