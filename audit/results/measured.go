package results

import "shortfall/ingest/casebook"

// MethodError of one unit, from the repeats.
type MethodError struct {
	// MeasuredBy is the way whose error this is; empty where it is not recorded.
	MeasuredBy         casebook.Method `json:"measured_by,omitzero"`
	Unit               casebook.Unit   `json:"unit"`
	Pairs              int             `json:"pairs"`
	Cases              int             `json:"cases"`
	Bias               Spread          `json:"bias"`
	BiasP              Number          `json:"bias_p"`
	Dahlberg           Number          `json:"dahlberg"`
	MethodOfMoments    Number          `json:"method_of_moments"`
	ICC                Spread          `json:"icc"`
	SmallestDetectable Number          `json:"smallest_detectable"`
	LowerAgreement     Number          `json:"lower_limit_of_agreement"`
	UpperAgreement     Number          `json:"upper_limit_of_agreement"`
	// Suppressed: pairs and cases are withheld; the error of the method stands.
	Suppressed bool      `json:"suppressed,omitempty"`
	Warnings   []Warning `json:"warnings,omitempty"`
}

// ErrorWay is the way of measuring that an error is told with: none where all errors
// are of one way.
func (r *Results) ErrorWay(e *MethodError) casebook.Method {
	for i := range r.Repeats {
		if r.Repeats[i].MeasuredBy != e.MeasuredBy {
			return e.MeasuredBy
		}
	}
	return casebook.NoMethod
}

// Unplanned is movement where less than the smallest meaningful amount was planned.
type Unplanned struct {
	Axis       casebook.Axis `json:"axis"`
	Unit       casebook.Unit `json:"unit"`
	Cases      int           `json:"cases"`
	Movements  int           `json:"movements"`
	MeanAbs    Number        `json:"mean_abs_achieved"`
	Outside    Share         `json:"outside_tolerance"`
	Suppressed bool          `json:"suppressed,omitempty"`
}

// Bound is the expression of one direction with the movements whose outcome is
// missing set to the worst case (nothing expressed) and to the best (all
// expressed). Movements with a missing outcome are planned ones only.
type Bound struct {
	By         By            `json:"by"` // axis, direction and course
	Unit       casebook.Unit `json:"unit"`
	Cases      int           `json:"cases"`
	Movements  int           `json:"movements"` // planned, measured or not
	Missing    int           `json:"missing"`   // of those, without a measured outcome
	Observed   Number        `json:"observed"`  // ratio of sums of the measured ones
	Worst      Number        `json:"worst"`
	Best       Number        `json:"best"`
	Suppressed bool          `json:"suppressed,omitempty"`
}
