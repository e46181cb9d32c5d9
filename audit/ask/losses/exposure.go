package losses

import (
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// wornFeature is one feature on one tooth in one course.
type wornFeature struct {
	cluster int
	style   casebook.Style
	shape   casebook.Shape
	class   casebook.ToothClass
	lost    bool
	noMonth bool    // lost, month not recorded: half the course is counted
	months  float64 // to the loss, or to the end of the course
	source  rows.ExposureSource
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
	for i, m := range p.Order {
		if i > 0 && rows.SameTooth(p.Order[i-1], m) || m.Style != casebook.SoftwareSuggested && m.Style != casebook.ClinicianDesigned {
			continue
		}
		at := p.ClusterOf[i]
		if !p.CourseInPeriod(at, m.Course) {
			continue
		}
		if !m.Lost.OK {
			left[0].Movements++
			continue
		}
		w := rows.WornMonths(&p.Cases[at], m.Course)
		if w.Source == rows.NoExposure { // also where it was lost: counting losses without their like would inflate the rate
			left[1].Movements++
			continue
		}
		f := wornFeature{
			cluster: at, style: m.Style, shape: m.Shape, class: m.Tooth.Class(),
			lost: m.Lost.Value, months: w.Months, source: w.Source,
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
