package results

import "shortfall/ingest/casebook"

// Questions are the answers to what a clinician asks of the grid of rates. All
// differences and changes of expression are ratios (0.10 is ten points of a
// hundred); nothing pools axes of different units.
type Questions struct {
	Switches   SwitchAnalysis   `json:"switches,omitzero"`
	Staging    StagingAnswer    `json:"staging,omitzero"`
	Fit        FitAnswer        `json:"feature_fit,omitzero"`
	Attachment AttachmentAnswer `json:"attachment,omitzero"`
	Shape      ShapeAnswer      `json:"shape,omitzero"`
	Stated     StatedAnswer     `json:"stated,omitzero"`
	Measured   MeasuredAnswer   `json:"measured,omitzero"`
	Doubtful   DoubtfulAnswer   `json:"doubtful,omitzero"`
	CaseMix    CaseMix          `json:"case_mix,omitzero"`
	Reaudit    Reaudit          `json:"reaudit,omitzero"`
	Funnels    []Funnel         `json:"funnels,omitempty"`
	Outlook    Outlook          `json:"outlook,omitzero"`
	LossRates  LossRates        `json:"loss_rates,omitzero"`
	ByPlan     []PlanBin        `json:"by_plan,omitempty"`
	// Quarter sets the quarter of the settings against everything before it.
	Quarter *InTime `json:"quarter,omitempty"`
	Since   *Since  `json:"since_previous,omitempty"`
	// PlannedAgain sets the styles against each other by what was planned again.
	PlannedAgain *SharesWithin `json:"planned_again,omitempty"`
}

// SharesWithin is a difference of shares between the styles in the mouths that hold both,
// clinician-designed less software-suggested. Software and Clinician are the mean of
// these mouths, and half the difference either way.
type SharesWithin struct {
	Both        int        `json:"cases_with_both"`
	Movements   int        `json:"movements"` // of those mouths
	Software    Number     `json:"software_suggested"`
	Clinician   Number     `json:"clinician_designed"`
	Difference  Difference `json:"difference"`
	Adjusters   []string   `json:"adjusters"`
	NotAdjusted []string   `json:"not_adjusted,omitempty"`
	Verdict     Verdict    `json:"verdict"`
	Reason      string     `json:"reason"`
	Reading     string     `json:"reading"`
}

// PlanBin is what plans of like size along one axis came to under one style, in
// initial courses. From and To bound the plans, To not among them; null at the ends.
type PlanBin struct {
	Axis      casebook.Axis  `json:"axis"`
	Unit      casebook.Unit  `json:"unit"`
	Style     casebook.Style `json:"style"`
	From      Number         `json:"planned_from"`
	To        Number         `json:"planned_to"`
	Cases     int            `json:"cases"`
	Movements int            `json:"movements"`
	Planned   Number         `json:"planned"`  // median
	Achieved  Number         `json:"achieved"` // median, along the plan
	Low       Number         `json:"achieved_lower_quartile"`
	High      Number         `json:"achieved_upper_quartile"`
	// Suppressed: withheld by the small-number rule.
	Suppressed bool      `json:"suppressed,omitempty"`
	Warnings   []Warning `json:"warnings,omitempty"`
}

// GroupArm is one side of a two-group comparison.
type GroupArm struct {
	Name        string `json:"name"` // "switched", "combined", "with the table"
	Cases       int    `json:"cases"`
	Movements   int    `json:"movements"`
	MeanPlanned Number `json:"mean_planned"`
	Expression  Number `json:"expression"` // ratio of sums
}

// GroupComparison sets Group against Reference within one cell; differences
// are Group minus Reference in expression. The verdict words are those of a
// style comparison and say where Group stands.
type GroupComparison struct {
	By   By            `json:"by"`
	Unit casebook.Unit `json:"unit"`
	// From and To are the styles of a switch after a shortfall, set against keeping From.
	From       casebook.Style `json:"from,omitempty"`
	To         casebook.Style `json:"to,omitempty"`
	Group      GroupArm       `json:"group"`
	Reference  GroupArm       `json:"reference"`
	Unadjusted Difference     `json:"unadjusted"`
	Adjusted   Difference     `json:"adjusted"`
	// Per, where it is there: the difference is for so much more of what is asked,
	// and group and reference are the larger and the smaller half.
	Per       string   `json:"per,omitempty"`
	Adjusters []string `json:"adjusters,omitempty"`
	// NotAdjusted names the recorded covariates there were too few cases for.
	NotAdjusted []string `json:"not_adjusted,omitempty"`
	Verdict     Verdict  `json:"verdict"`
	// Reason is a stable id for why the verdict is what it is.
	Reason string `json:"reason,omitempty"`
	// Both is the number of cases with both groups in one mouth.
	Both       int       `json:"cases_with_both"`
	Reading    string    `json:"reading,omitempty"`
	Suppressed bool      `json:"suppressed,omitempty"`
	Warnings   []Warning `json:"warnings,omitempty"`
}

// SwitchAnalysis follows movements that fell short into the next course.
type SwitchAnalysis struct {
	FellShort  int               `json:"fell_short"` // movements short by more than the tolerance
	Followed   int               `json:"followed"`   // of these, planned again in the next course and measured
	NotPaired  []Exclusion       `json:"not_paired,omitempty"`
	Paths      []SwitchPath      `json:"paths,omitempty"`
	Contrasts  []GroupComparison `json:"contrasts,omitempty"`
	Cautions   []string          `json:"cautions,omitempty"`
	Definition string            `json:"definition,omitempty"`
}

// SwitchPath is one way from the style of a course to the style of the next,
// along one axis: the first course, the next, and the change within the tooth.
type SwitchPath struct {
	Axis      casebook.Axis  `json:"axis"`
	From      casebook.Style `json:"from"`
	To        casebook.Style `json:"to"` // equal to From where the style was kept
	Cases     int            `json:"cases"`
	Movements int            `json:"movements"`
	First     Spread         `json:"first"` // expression in the course that fell short
	Next      Spread         `json:"next"`  // expression of the same movement in the next course
	Change    Spread         `json:"change"`
	// PairedP is the two-sided P of the clustered signed-rank test of the
	// changes (Datta & Satten 2008), exact up to 16 cases.
	PairedP Number `json:"paired_p"`
	// Expected is the change to be expected without any effect.
	Expected   RegressionToMean `json:"expected_without_effect"`
	Suppressed bool             `json:"suppressed,omitempty"`
	Warnings   []Warning        `json:"warnings,omitempty"`
}

// RegressionToMean is the change of expression that selecting movements for
// having fallen short brings about by itself: (1 - reliability) x (mean of all
// - mean of the selected).
type RegressionToMean struct {
	MeanAll      Number `json:"mean_all"`      // expression of all movements of the same axis and style, any course
	MeanSelected Number `json:"mean_selected"` // expression of those followed, first course
	BetweenSD    Number `json:"between_sd"`    // between teeth, method error taken out
	ErrorSD      Number `json:"error_sd"`      // method error as a share of the plan; null without repeats
	Reliability  Number `json:"reliability"`   // between-tooth variance / total variance
	// Change is expected from method error alone, null without repeats; AtMost
	// is expected if nothing of a tooth's first result were its own.
	Change Number `json:"change"`
	AtMost Number `json:"at_most"`
}

// StagingAnswer compares combined with sequenced movements and lists the teeth
// that were asked for several large movements at once.
type StagingAnswer struct {
	Comparisons []GroupComparison `json:"comparisons,omitempty"`
	NotRecorded int               `json:"not_recorded"` // movements without a staging entry
	LargeMM     Number            `json:"large_mm" exact:"declared"`
	LargeDeg    Number            `json:"large_deg" exact:"declared"`
	Teeth       int               `json:"teeth_with_several_large"`
	TeethCases  int               `json:"teeth_with_several_large_cases"`
	Loads       []CompoundLoad    `json:"loads,omitempty"` // not listed in shared results
	Definition  string            `json:"definition,omitempty"`
}

// CompoundLoad is one tooth in one course with two or more large movements.
type CompoundLoad struct {
	Case       string         `json:"case"`
	Course     int            `json:"course"`
	Tooth      casebook.Tooth `json:"tooth"`
	Large      int            `json:"large_movements"`
	Load       Number         `json:"load"`     // sum over axes of |planned| / tolerance
	Residual   Number         `json:"residual"` // sum over measured axes of |planned - achieved| / tolerance
	Movements  []string       `json:"movements"`
	Unmeasured int            `json:"unmeasured"`
	Outside    int            `json:"outside_tolerance"`
	Staging    string         `json:"staging,omitempty"`
}

// FitAnswer sets the orientation of the feature against the movement.
type FitAnswer struct {
	Table       []FitRule         `json:"table,omitempty"`
	TableSource string            `json:"table_source,omitempty"`
	Comparisons []GroupComparison `json:"comparisons,omitempty"`
	Against     []FitCount        `json:"against,omitempty"` // records that go against the table
	NotRecorded int               `json:"not_recorded"`      // featured movements without an orientation
	NoRule      int               `json:"no_rule"`           // featured movements the table is silent on
}

// AttachmentAnswer sets movements with an attachment against movements without.
type AttachmentAnswer struct {
	Comparisons []GroupComparison `json:"comparisons,omitempty"`
	NotRecorded int               `json:"not_recorded"` // movements without a style on record
}

// ShapeAnswer sets the shapes of attachments against the commonest, and gives the
// change of expression with their size.
type ShapeAnswer struct {
	Shapes           []GroupComparison `json:"shapes,omitempty"`
	Sizes            []GroupComparison `json:"sizes,omitempty"`
	ShapeNotRecorded int               `json:"shape_not_recorded"` // featured movements without a named shape
	SizeNotRecorded  int               `json:"size_not_recorded"`
}

// DoubtfulAnswer lists the amounts that cannot be right as they stand.
type DoubtfulAnswer struct {
	Amounts   int              `json:"amounts"`
	Confirmed int              `json:"confirmed,omitzero"` // of them, by a person on reading or in the sheet
	List      []DoubtfulAmount `json:"list,omitempty"`     // not listed in shared results
}

// DoubtfulAmount is one movement that cannot be right, with what rests on it.
// Planned and achieved have the sign they were recorded with.
type DoubtfulAmount struct {
	Case      string             `json:"case"`
	Course    int                `json:"course"`
	Tooth     casebook.Tooth     `json:"tooth"`
	Axis      casebook.Axis      `json:"axis"`
	Direction casebook.Direction `json:"direction"`
	Unit      casebook.Unit      `json:"unit"`
	Planned   Number             `json:"planned"`
	Achieved  Number             `json:"achieved"`
	Doubt     string             `json:"doubt"`
	Confirmed bool               `json:"confirmed,omitzero"`
	Touches   string             `json:"touches"`
}

// StatedAnswer is what percentages say that a practice computed itself, where nothing
// was measured.
type StatedAnswer struct {
	Cells []StatedCell `json:"cells,omitempty"`
}

// StatedCell is the expression of a direction derived from stated percentages.
type StatedCell struct {
	By         By            `json:"by"`
	Unit       casebook.Unit `json:"unit"`
	Movements  int           `json:"movements"`
	Cases      int           `json:"cases"`
	Expression Spread        `json:"expression"`
	Suppressed bool          `json:"suppressed,omitempty"`
	Warnings   []Warning     `json:"warnings,omitempty"`
}

// MeasuredAnswer says how outcomes were measured; cells only where in several ways.
type MeasuredAnswer struct {
	Ways  []MeasuredWay  `json:"ways,omitempty"`
	Cells []MeasuredCell `json:"cells,omitempty"`
}

// MeasuredWay counts the analysed movements that were measured in one way.
type MeasuredWay struct {
	Method     casebook.Method `json:"measured_by"` // empty: not recorded
	Cases      int             `json:"cases"`
	Movements  int             `json:"movements"`
	Suppressed bool            `json:"suppressed,omitempty"`
}

// MeasuredCell is the expression of a direction as one way of measuring has it.
type MeasuredCell struct {
	By         By              `json:"by"`
	Unit       casebook.Unit   `json:"unit"`
	Method     casebook.Method `json:"measured_by"`
	Cases      int             `json:"cases"`
	Movements  int             `json:"movements"`
	Expression Spread          `json:"expression"`
	Suppressed bool            `json:"suppressed,omitempty"`
	Warnings   []Warning       `json:"warnings,omitempty"`
}

// FitRule names the orientation whose larger face is square to the movement,
// for an axis or, more closely, for one direction.
type FitRule struct {
	Axis        casebook.Axis        `json:"axis,omitzero"`
	Direction   casebook.Direction   `json:"direction,omitzero"`
	Orientation casebook.Orientation `json:"orientation"`
}

// FitCount counts the records that go against a rule.
type FitCount struct {
	Axis       casebook.Axis        `json:"axis"`
	Recorded   casebook.Orientation `json:"recorded"`
	Style      casebook.Style       `json:"style"`
	Cases      int                  `json:"cases"`
	Movements  int                  `json:"movements"`
	Suppressed bool                 `json:"suppressed,omitempty"`
}

// CaseMix shows the style comparisons beside other ways of making them.
type CaseMix struct {
	Matched     []Matched     `json:"matched,omitempty"`
	Sensitivity []Sensitivity `json:"sensitivity,omitempty"`
}

// Matched compares the styles inside strata of like movements.
type Matched struct {
	By      By         `json:"by"`
	Strata  int        `json:"strata"`      // strata with movements of either style
	Both    int        `json:"strata_both"` // of these, with both styles
	Inside  int        `json:"movements_inside"`
	Outside int        `json:"movements_outside"` // in strata with one style only: not used
	Cases   int        `json:"cases"`
	Matched Difference `json:"matched"`
	Model   Difference `json:"model"` // the adjusted difference of the same cell
	// Weighted is that of overlap weighting, of directions over all teeth.
	Weighted Difference `json:"overlap_weighted"`
	Verdict  Verdict    `json:"verdict"`
	Warnings []Warning  `json:"warnings,omitempty"`
}

// Sensitivity repeats one comparison under other choices.
type Sensitivity struct {
	By   By               `json:"by"`
	Rows []SensitivityRow `json:"rows"`
	// Stable is true where every check holds and no other choice has an interval that
	// stands otherwise to zero than that of the first row.
	Stable  bool   `json:"stable"`
	Reading string `json:"reading"`
}

// SensitivityRow is one choice and what it gave.
type SensitivityRow struct {
	ID        string     `json:"id"` // "as-reported", "tolerance-halved"
	Choice    string     `json:"choice"`
	Cases     int        `json:"cases"`
	Movements int        `json:"movements"`
	Adjusted  Difference `json:"adjusted"`
	// Outside is the difference in the share outside tolerance, unadjusted.
	Outside Difference `json:"outside_tolerance"`
	Verdict Verdict    `json:"verdict"`
	// Decides: a verdict of higher or lower must survive it. Holds: it does.
	Decides bool `json:"decides,omitempty"`
	Holds   bool `json:"holds,omitempty"`
	// Named: the reading names it, since a check does not hold, or another choice's
	// interval stands otherwise to zero.
	Named bool `json:"named,omitempty"`
}
