package results

import (
	"shortfall/ingest/casebook"
)

// SchemaVersion of results.json. The major number changes when a field is
// removed or changes meaning, the minor one when a field is added.
const SchemaVersion = "2.0"

// Results is everything an audit found, as data: provenance first, then flow,
// findings and tables. It can be saved as JSON and replayed into any renderer;
// a renderer reads it and decides nothing.
type Results struct {
	SchemaVersion string       `json:"schema_version"`
	Provenance    Provenance   `json:"provenance"`
	Scope         Scope        `json:"scope"`
	Findings      []Finding    `json:"findings"`
	Flow          Flow         `json:"flow"`
	Completeness  []FieldCount `json:"completeness"`
	Expression    []Cell       `json:"expression"`
	// InAll is what was achieved over every kind of movement, and by style as they stand.
	InAll       []StyleAchieved `json:"in_all,omitempty"`
	Comparisons []Comparison    `json:"comparisons"`
	Refinements Refinements     `json:"refinements"`
	FollowUp    FollowUp        `json:"follow_up"`
	Replanned   []Replanned     `json:"replanned"`
	Losses      []Loss          `json:"losses"`
	Repeats     []MethodError   `json:"repeats"`
	Unplanned   []Unplanned     `json:"unplanned"`
	Bounds      []Bound         `json:"bounds"`
	Excluded    []Exclusion     `json:"excluded"`
	Warnings    []Warning       `json:"warnings"` // those of the whole audit
	Cautions    []string        `json:"cautions"`
	Definitions []Definition    `json:"definitions"`
	Methods     []Method        `json:"methods,omitempty"`
	// Columns give every number its definition and its method.
	Columns []Column `json:"columns,omitempty"`
	// Sections are the words of every question, in order of reading.
	Sections []Section `json:"sections,omitempty"`
	// Questions are the analyses beyond the grid.
	Questions Questions `json:"questions,omitzero"`
	// Front is what the first pages say and draw.
	Front Front `json:"front,omitzero"`
}

// Provenance says what was read, by which program, under which settings.
type Provenance struct {
	Tool     string                  `json:"tool"` // "shortfall"
	Version  string                  `json:"version"`
	Inputs   []casebook.ImportedFile `json:"inputs"`
	Settings Settings                `json:"settings"`
	Date     string                  `json:"date"` // explicit, or the newest record's month; never the clock
	Invented bool                    `json:"invented"`
	// Words of the sheets beside ours; none in results that leave the practice.
	Words []casebook.WordRead `json:"words,omitempty"`
}

// Scope says who and what was audited.
type Scope struct {
	Practices  []string       `json:"practices"`
	Clinicians int            `json:"clinicians"`
	First      casebook.Month `json:"first"` // earliest start month
	Last       casebook.Month `json:"last"`  // latest start or end month
	Cases      int            `json:"cases"` // cases with at least one analysed movement
	Movements  int            `json:"movements"`
	Teeth      int            `json:"teeth"` // distinct case and tooth pairs
	// Unstated are the directions in which sizes without direction count, which are
	// taken as positive: nothing that a person reads may claim the direction.
	Unstated []Unstated `json:"unstated,omitempty"`
}

// Unstated is a direction that some of its movements were not recorded with. Alone:
// nothing is on record of the opposite one, and what is known is the axis.
type Unstated struct {
	Direction casebook.Direction `json:"direction"`
	Alone     bool               `json:"alone,omitempty"`
}

// FindingKind is what a finding is about.
type FindingKind string

// The kinds of finding.
const (
	FellShort        FindingKind = "short"
	StyleDifference  FindingKind = "style"
	NeededRefinement FindingKind = "refinements"
	SwitchedStyle    FindingKind = "switch"
	ChangedInTime    FindingKind = "change"
	DataQuality      FindingKind = "quality"
)

// FindingKinds are all of them, in the order of reading.
func FindingKinds() []FindingKind {
	return []FindingKind{FellShort, StyleDifference, NeededRefinement, SwitchedStyle, ChangedInTime, DataQuality}
}

// Finding is one plain sentence of the summary page, with what it rests on.
type Finding struct {
	Kind FindingKind `json:"kind"`
	Text string      `json:"text"`
	// Limits says what the finding does not show.
	Limits string `json:"limits,omitempty"`
	// Action is what to consider next; always phrased as a question for the practice.
	Action string `json:"action,omitempty"`
	// Rests are the rows it is made from.
	Rests    []Basis   `json:"rests,omitempty"`
	Warnings []Warning `json:"warnings,omitempty"`
}

// Warning travels with a number to the page, as a footnote on that very cell.
type Warning struct {
	ID     string `json:"id"` // stable, "few-cases"
	Text   string `json:"text"`
	Remedy string `json:"remedy"`
}

// ListApart is the warning that the case log and the movements do not fit together,
// which stands on the first page too.
const ListApart = "list-apart"

// Flow counts from rows read to movements analysed. Every step reconciles:
// what enters equals what is excluded plus what goes on.
type Flow struct {
	// Rows of the files read, without files that have a later version.
	Rows casebook.Counts `json:"rows"`
	// EarlierVersions is the number of those files.
	EarlierVersions int `json:"earlier_versions,omitempty"`
	// Superseded counts records that a file of corrections replaced.
	Superseded    int           `json:"superseded"`
	CasesLogged   int           `json:"cases_logged"`
	CasesByStatus []StatusCount `json:"cases_by_status"`
	Steps         []FlowStep    `json:"steps"`
	// Ascertainment is the share of logged, started cases that contribute an
	// analysed movement.
	Ascertained Share `json:"ascertained"`
}

// FlowStep is one box of the flow diagram, counted in movements and cases.
type FlowStep struct {
	Title     string      `json:"title"`
	Movements int         `json:"movements"`
	Cases     int         `json:"cases"`
	Excluded  []Exclusion `json:"excluded,omitempty"` // leave at this step
	// Suppressed: the number of cases is withheld; movements stand.
	Suppressed bool `json:"suppressed,omitempty"`
}

// Exclusion is a counted reason to leave something out.
type Exclusion struct {
	ID        string `json:"id"` // stable, "below-smallest-plan"
	Reason    string `json:"reason"`
	Rows      int    `json:"rows,omitempty"`
	Movements int    `json:"movements,omitempty"`
	Cases     int    `json:"cases,omitempty"`
	// Suppressed: the number of cases is withheld; rows and movements stand.
	Suppressed bool `json:"suppressed,omitempty"`
}

// StatusCount counts cases by status in the case log.
type StatusCount struct {
	Status     casebook.Status `json:"status"` // "" where not recorded
	Cases      int             `json:"cases"`
	Suppressed bool            `json:"suppressed,omitempty"`
}

// FieldCount is the completeness of one field.
type FieldCount struct {
	Record     string `json:"record"`
	Field      string `json:"field"`
	Recorded   int    `json:"recorded"`
	Total      int    `json:"total"`
	Suppressed bool   `json:"suppressed,omitempty"`
}

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
	// SmallOutside those of them that ended outside all the same.
	OutsideTolerance Share `json:"outside_tolerance"`
	SmallPlans       int   `json:"plans_within_tolerance"`
	SmallOutside     int   `json:"plans_within_tolerance_outside"`
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

// Spread is a mean with its clustered interval.
type Spread struct {
	Value Number `json:"value"`
	SE    Number `json:"se"`
	DF    Number `json:"df"`
	Low   Number `json:"low"`
	High  Number `json:"high"`
}

// Verdict on clinician-designed seen against software-suggested.
type Verdict string

// The verdict words; no others are printed.
const (
	Higher             Verdict = "higher"
	Lower              Verdict = "lower"
	NotDistinguishable Verdict = "not distinguishable"
	NotComparable      Verdict = "not comparable"
)

// Arm is one side of a comparison.
type Arm struct {
	Style         casebook.Style `json:"style"`
	Cases         int            `json:"cases"`
	Movements     int            `json:"movements"`
	MeanPlanned   Number         `json:"mean_planned"`
	SDPlanned     Number         `json:"sd_planned"`
	Expression    Number         `json:"expression"`     // observed ratio of sums
	AdjustedRatio Number         `json:"adjusted_ratio"` // mean of the mouths with both styles, and half the difference within them either way
}

// Comparison sets clinician-designed against software-suggested within one
// cell (By.Style is zero). Differences are clinician-designed minus
// software-suggested in expression (a ratio: 0.10 is ten points of a hundred).
type Comparison struct {
	By      By            `json:"by"`
	Unit    casebook.Unit `json:"unit"`
	Primary bool          `json:"primary,omitempty"` // the pre-declared primary comparison
	// Exploratory: not a question asked beforehand; it never reaches page one.
	Exploratory bool       `json:"exploratory,omitempty"`
	Arms        []Arm      `json:"arms"`
	Unadjusted  Difference `json:"unadjusted"`
	// Adjusted is the difference within mouths, on which the verdict rests: the
	// difference of the same-mouth reading.
	Adjusted  Difference `json:"adjusted"`
	Adjusters []string   `json:"adjusters"`
	// NotAdjusted names the recorded covariates there were too few cases for.
	NotAdjusted []string `json:"not_adjusted,omitempty"`
	Verdict     Verdict  `json:"verdict"`
	// Reason is a stable id for why the verdict is what it is, "within-chance";
	// Because says it in a sentence.
	Reason  string `json:"reason"`
	Because string `json:"because"`
	// Readings are the unadjusted, the between-patient and the same-mouth one.
	Readings []Reading `json:"readings"`
	// Both is the number of cases that carry both styles in one mouth.
	Both   int     `json:"cases_with_both"`
	Checks []Check `json:"checks,omitempty"`
	// Missing is absent where every outcome was measured or nothing is judged.
	Missing *MissingOutcomes `json:"missing,omitempty"`
	// VerdictLevel is the level at which this comparison would be called, the
	// others of its family standing as they are.
	VerdictLevel Number `json:"verdict_level"`
	// Reading is the one-line explanation printed beside a highlighted cell.
	Reading string    `json:"reading,omitempty"`
	Balance []Balance `json:"balance,omitempty"`
	Overlap Overlap   `json:"overlap"`
	EValue  EValue    `json:"e_value"`
	// Equivalence of the two styles; absent where they cannot be compared.
	Equivalence Equivalence `json:"equivalence,omitzero"`
	// Detectable is the difference the comparison could have seen with 80 % power
	// at VerdictLevel, before the checks.
	Detectable Number `json:"detectable"`
	// Power is the chance that a difference worth knowing (Settings.Worth) would have
	// been called at VerdictLevel, before the checks; it does not look at the one seen.
	Power Number `json:"power"`
	// MoreCases is how many more cases with both styles would bring Detectable
	// down to the difference worth knowing; 0 where it is there.
	MoreCases Number `json:"more_cases"`
	FitStatus string `json:"fit_status,omitempty"`
	// BelowDetectable: the adjusted difference on the mean plan is below the
	// smallest detectable change of the method; drawn grey.
	BelowDetectable bool      `json:"below_detectable,omitempty"`
	Warnings        []Warning `json:"warnings"`
}

// Difference between two arms.
type Difference struct {
	Difference Number `json:"difference"`
	SE         Number `json:"se"`
	DF         Number `json:"df"`
	Low        Number `json:"low"`
	High       Number `json:"high"`
	P          Number `json:"p"`
	PAdjusted  Number `json:"p_adjusted"` // over the grid; null for the unadjusted difference
	Method     string `json:"method,omitempty"`
}

// Balance is one row of the balance table.
type Balance struct {
	Covariate string `json:"covariate"`
	Software  Number `json:"software_suggested"` // mean or share
	Clinician Number `json:"clinician_designed"`
	SMD       Number `json:"smd"`          // standardised mean difference
	After     Number `json:"smd_weighted"` // after overlap weighting; null where that was not made
}

// Overlap of the planned amounts of the two arms.
type Overlap struct {
	// ShareInside is the smaller of the two arms' shares of movements inside the
	// range of planned amounts that both have in common (middle 95 % of each).
	ShareInside Number `json:"share_inside"`
	Enough      bool   `json:"enough"`
	Reason      string `json:"reason,omitempty"`
}

// EValue of the adjusted difference (VanderWeele & Ding 2017).
type EValue struct {
	Estimate Number `json:"estimate"`
	Limit    Number `json:"limit"`
	Sentence string `json:"sentence,omitempty"`
}

// Equivalence is the test that the adjusted difference lies within a margin, two
// one-sided t tests at settings.alpha. It is not corrected for the number of
// comparisons.
type Equivalence struct {
	Margin     Number `json:"margin"` // of the difference either way, a ratio
	P          Number `json:"p"`      // the larger of the two one-sided P
	Equivalent bool   `json:"equivalent"`
}

// Refinements counts courses after the initial one.
type Refinements struct {
	Cases        int              `json:"cases"` // finished cases counted
	Distribution []Bar            `json:"distribution"`
	Mean         Spread           `json:"mean"`
	AtLeastOne   Share            `json:"at_least_one"`
	ByStyle      []RefinementRate `json:"by_style"` // by the main style of the initial features
	RateRatio    Difference       `json:"rate_ratio"`
	RateUnadj    Difference       `json:"rate_ratio_unadjusted"`
	Adjusters    []string         `json:"adjusters,omitempty"`
	NotAdjusted  []string         `json:"not_adjusted,omitempty"`
	Model        string           `json:"model,omitempty"`
	Warnings     []Warning        `json:"warnings,omitempty"`
}

// SizeOnly is the warning of a cell with sizes without direction, taken as positive.
const SizeOnly = "size-only"

// RefinementsUnknown is the warning of completed cases that say nothing of refinements.
const RefinementsUnknown = "refinements-unknown"

// FewRefinements is the warning of styles of which one has too few to compare.
const FewRefinements = "few-refinements"

// CompletedUnmeasured is the warning of completed cases without an analysed movement.
const CompletedUnmeasured = "completed-unmeasured"

// Bar is one bar of the refinement distribution: 0, 1, 2, 3, 4+.
type Bar struct {
	Label      string `json:"label"`
	Cases      int    `json:"cases"`
	Share      Share  `json:"share"`
	Suppressed bool   `json:"suppressed,omitempty"`
}

// RefinementRate of the cases whose initial features were mainly of one style.
type RefinementRate struct {
	Style        casebook.Style `json:"style"`
	Cases        int            `json:"cases"`
	Refinements  int            `json:"refinements"`
	Rate         Spread         `json:"rate"` // per case
	Distribution []Bar          `json:"distribution"`
	Suppressed   bool           `json:"suppressed,omitempty"`
	Warnings     []Warning      `json:"warnings,omitempty"`
}

// Replanned says how often a planned movement had to be planned again, in the
// same direction, in the next course.
type Replanned struct {
	Axis       casebook.Axis  `json:"axis,omitzero"` // zero: all axes
	Style      casebook.Style `json:"style"`
	Cases      int            `json:"cases"`
	Movements  int            `json:"movements"`
	Again      Share          `json:"again"`
	Suppressed bool           `json:"suppressed,omitempty"`
}

// Loss of features, by style and tooth class (zero class: all teeth).
type Loss struct {
	Style      casebook.Style      `json:"style"`
	ToothClass casebook.ToothClass `json:"tooth_class,omitzero"`
	Cases      int                 `json:"cases"`
	Features   int                 `json:"features"`
	Lost       Share               `json:"lost"`
	Suppressed bool                `json:"suppressed,omitempty"`
}

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

// Definition explains one printed measure: name, formula, source. Its id is what
// exhibits and estimates point to.
type Definition struct {
	ID      string `json:"id"`
	Term    string `json:"term"`
	Formula string `json:"formula"`
	Source  string `json:"source,omitempty"`
}
