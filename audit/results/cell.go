package results

import "shortfall/ingest/casebook"

// CourseStratum separates initial courses from refinements; they are never
// pooled without saying so.
type CourseStratum string

// The two strata.
const (
	Initial    CourseStratum = "initial"
	Refinement CourseStratum = "refinement"
)

// By names a cell of the grid. A zero field is a margin: taken over all values.
// Tooth and ToothClass are never both set.
type By struct {
	Axis       casebook.Axis       `json:"axis,omitzero"`
	Direction  casebook.Direction  `json:"direction,omitzero"`
	Tooth      casebook.Tooth      `json:"tooth,omitzero"`
	ToothClass casebook.ToothClass `json:"tooth_class,omitzero"`
	Arch       casebook.Arch       `json:"arch,omitzero"`
	Style      casebook.Style      `json:"style,omitzero"`
	Course     CourseStratum       `json:"course,omitzero"`
}

// InFirstSets is the cell of a direction over all teeth and styles, in initial courses.
func InFirstSets(d casebook.Direction) By {
	return By{Axis: d.Axis(), Direction: d, Course: Initial}
}

// AllTeeth is true of a cell over all teeth of both arches.
func (b By) AllTeeth() bool {
	return b.ToothClass == casebook.NoClass && b.Tooth == 0 && b.Arch == casebook.NoArch
}

// WholeDirection is true of a cell of one direction over all teeth.
func (b By) WholeDirection() bool { return b.Direction != casebook.NoDirection && b.AllTeeth() }

// WholeInFirstSets is true of a whole direction of initial courses: of all styles, or of one.
func (b By) WholeInFirstSets() bool { return b.WholeDirection() && b.Course == Initial }

// Cell is the expression of one cell of the grid. Totals, errors and quartiles
// are in the unit of the axis; Estimate is a ratio (1 = all that was planned).
type Cell struct {
	By            By            `json:"by"`
	Unit          casebook.Unit `json:"unit"`
	Cases         int           `json:"cases"`
	Movements     int           `json:"movements"`
	PlannedTotal  Number        `json:"planned_total"`  // along the planned direction, positive
	AchievedTotal Number        `json:"achieved_total"` // along the planned direction
	// Estimate is achieved_total / planned_total with its case-clustered interval.
	Estimate     Number `json:"estimate"`
	Low          Number `json:"low"`
	High         Number `json:"high"`
	SE           Number `json:"se"`
	DF           Number `json:"df"`
	Method       string `json:"method"`
	DesignEffect Number `json:"design_effect"`
	// AveragePatient is the mean of the cases' own ratios; AverageDiffers: by more from the
	// estimate than the error of that difference.
	AveragePatient Spread `json:"average_patient"`
	AverageDiffers bool   `json:"average_differs,omitempty"`
	// OutsideTolerance is of the plans beyond the tolerance. SmallPlans are the others,
	// SmallOutside those of them that ended outside all the same; both are counts, null where
	// they are withheld.
	OutsideTolerance Share  `json:"outside_tolerance"`
	SmallPlans       Number `json:"plans_within_tolerance" exact:"count"`
	SmallOutside     Number `json:"plans_within_tolerance_outside" exact:"count"`
	// MedianRatio and its quartiles are over movements, type 7.
	MedianRatio    Number `json:"median_ratio"`
	LowerQuartile  Number `json:"lower_quartile"`
	UpperQuartile  Number `json:"upper_quartile"`
	MeanAbsError   Number `json:"mean_abs_error"`   // mean |achieved - planned|
	MeanDifference Spread `json:"mean_difference"`  // mean of achieved - planned along the plan; negative is short
	MeanShortfall  Number `json:"mean_shortfall"`   // = -mean_difference
	PercentF2      Number `json:"percent_accuracy"` // mean of 100 - 100|P-A|/|P|
	Slope          Number `json:"slope"`            // of achieved on planned through the origin
	// Pooled is the partially pooled ratio of a tooth (random intercept), for the chart.
	Pooled Number `json:"pooled,omitzero"`
	// BelowDetectable: the mean difference is below the smallest detectable
	// change of the method; drawn grey.
	BelowDetectable bool      `json:"below_detectable,omitempty"`
	Suppressed      bool      `json:"suppressed,omitempty"`
	Warnings        []Warning `json:"warnings"`
}

// SizeOnly is the warning of a cell with sizes without direction, taken as positive.
const SizeOnly = "size-only"

// Share is a proportion with its counts and its interval.
type Share struct {
	Numerator   int       `json:"numerator"`
	Denominator int       `json:"denominator"`
	Value       Number    `json:"value"`
	Low         Number    `json:"low"`
	High        Number    `json:"high"`
	Method      string    `json:"method,omitempty"`
	Warnings    []Warning `json:"warnings,omitempty"`
}

// Spread is a mean with its clustered interval.
type Spread struct {
	Value Number `json:"value"`
	SE    Number `json:"se"`
	DF    Number `json:"df"`
	Low   Number `json:"low"`
	High  Number `json:"high"`
}
