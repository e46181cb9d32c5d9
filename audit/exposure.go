package audit

import (
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// daysPerMonth is the mean length of a month (365.25 / 12).
const daysPerMonth = 30.4375

// exposureSource says where the months worn come from, best first.
type exposureSource uint8

const (
	noExposure exposureSource = iota
	fromAligners
	fromNextCourse
	fromCaseEnd
)

var exposureReasons = map[exposureSource]results.Exclusion{
	fromAligners:   {ID: "aligners-used", Reason: "aligners used x change interval"},
	fromNextCourse: {ID: "next-course", Reason: "start of the course to start of the next"},
	fromCaseEnd:    {ID: "case-end", Reason: "start of the course to end of the case"},
}

// worn is how long a course was worn.
type worn struct {
	months float64
	source exposureSource
}

// wornMonths of one course: aligners used x change interval, else the time to
// the next course, else (last course) to the end of the case.
func wornMonths(c *rows.Patient, number int) worn {
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
		return worn{float64(k.AlignersUsed.Value*c.Log.ChangeDays.Value) / daysPerMonth, fromAligners}
	}
	if k.Start == 0 {
		return worn{}
	}
	if at+1 < len(c.Courses) {
		if next := c.Courses[at+1].Start; next > k.Start {
			return worn{float64(next - k.Start), fromNextCourse}
		}
		return worn{}
	}
	if c.Log != nil && c.Log.End > k.Start {
		return worn{float64(c.Log.End - k.Start), fromCaseEnd}
	}
	return worn{}
}

// wornFeature is one feature on one tooth in one course.
type wornFeature struct {
	cluster int
	style   casebook.Style
	shape   casebook.Shape
	class   casebook.ToothClass
	lost    bool
	noMonth bool    // lost, month not recorded: half the course is counted
	months  float64 // to the loss, or to the end of the course
	source  exposureSource
}

// halfMonth is the exposure of a feature lost before its first whole month:
// months are recorded whole, so half a month is the middle of what is known.
const halfMonth = 0.5

// wornFeatures lists the features with a loss record and months worn, and
// counts those without. Movements of one tooth in one course share a feature.
func wornFeatures(p *rows.Set) (features []wornFeature, excluded []results.Exclusion) {
	left := []results.Exclusion{
		{ID: "loss-not-recorded", Reason: "Loss not recorded (yes or no)"},
		{ID: "months-missing", Reason: "Months worn not known: neither aligners used and change interval nor course dates"},
	}
	at, prev := 0, (*casebook.Movement)(nil)
	for _, m := range rows.InOrder(p.Dataset.Movements) {
		same := prev != nil && prev.Case == m.Case && prev.Course == m.Course && prev.Tooth == m.Tooth
		prev = m
		if same || m.Style != casebook.SoftwareSuggested && m.Style != casebook.ClinicianDesigned {
			continue
		}
		for p.Cases[at].Key != m.Case {
			at++
		}
		if !m.Lost.OK {
			left[0].Movements++
			continue
		}
		w := wornMonths(&p.Cases[at], m.Course)
		if w.source == noExposure { // also where it was lost: counting losses without their like would inflate the rate
			left[1].Movements++
			continue
		}
		f := wornFeature{
			cluster: at, style: m.Style, shape: m.Shape, class: m.Tooth.Class(),
			lost: m.Lost.Value, months: w.months, source: w.source,
		}
		switch {
		case f.lost && m.LostMonth.OK:
			f.months = max(halfMonth, float64(m.LostMonth.Value))
		case f.lost:
			f.months /= 2
			f.noMonth = true
		}
		features = append(features, f)
	}
	for _, e := range left {
		if e.Movements > 0 {
			excluded = append(excluded, e)
		}
	}
	return features, excluded
}
