package results

import "shortfall/ingest/casebook"

// Answer to a criterion; no other words are printed.
type Answer string

// The three answers.
const (
	Met           Answer = "met"
	NotMet        Answer = "not met"
	NotEnoughData Answer = "not enough data"
)

// Reaudit closes the audit cycle: criteria against targets, protocol changes
// before and after, run charts, actions.
type Reaudit struct {
	File     string            `json:"file,omitempty"` // base name of the criteria file
	Criteria []CriterionResult `json:"criteria,omitempty"`
	Changes  []ChangeResult    `json:"protocol_changes,omitempty"`
	Actions  []Action          `json:"actions,omitempty"`
}

// CriterionResult says how the practice stands against one declared target.
type CriterionResult struct {
	Criterion Criterion `json:"criterion"`
	Cases     int       `json:"cases"`
	Movements int       `json:"movements"`
	Observed  Spread    `json:"observed"`
	Method    string    `json:"method,omitempty"`
	Answer    Answer    `json:"answer"`
	Reading   string    `json:"reading"`
	Chart     RunChart  `json:"run_chart"`
	Warnings  []Warning `json:"warnings,omitempty"`
}

// RunChart follows a measure by quarter against a baseline declared beforehand.
type RunChart struct {
	Points    []RunPoint `json:"points,omitempty"`
	Centre    Number     `json:"centre"`
	Baseline  []string   `json:"baseline,omitempty"` // quarters, as declared
	Effect    Number     `json:"design_effect"`
	Method    string     `json:"method,omitempty"`
	Marks     []RunMark  `json:"marks,omitempty"`    // protocol changes
	Breaches  []Breach   `json:"breaches,omitempty"` // rules broken, in words
	Warnings  []Warning  `json:"warnings,omitempty"`
	NoQuarter int        `json:"no_quarter"` // movements without a month
}

// RunPoint is one quarter; Value is null where the quarter holds nothing or too little to show.
type RunPoint struct {
	Quarter   string `json:"quarter"`
	Cases     int    `json:"cases"`
	Movements int    `json:"movements"`
	Value     Number `json:"value"`
	Low       Number `json:"low"` // control limits
	High      Number `json:"high"`
	Baseline  bool   `json:"baseline,omitempty"`
	Breached  bool   `json:"breached,omitempty"`
	// Immature: outcomes of the quarter may still come; drawn hollow, judged by nothing.
	Immature bool `json:"immature,omitempty"`
	// Suppressed: no cases, or too few to show.
	Suppressed bool `json:"suppressed,omitempty"`
}

// RunMark is a protocol change on the time axis.
type RunMark struct {
	Quarter string `json:"quarter"`
	Text    string `json:"text"`
}

// Breach is one run rule broken at one quarter.
type Breach struct {
	Quarter string `json:"quarter"`
	Rule    string `json:"rule"`
	Text    string `json:"text"`
}

// ChangeResult is a protocol change seen before and after.
type ChangeResult struct {
	Change    ProtocolChange `json:"change"`
	Criterion string         `json:"criterion"`
	Before    GroupArm       `json:"before"`
	After     GroupArm       `json:"after"`
	// Values of the criterion's measure.
	ValueBefore Spread     `json:"value_before"`
	ValueAfter  Spread     `json:"value_after"`
	Difference  Difference `json:"difference"` // after minus before, case-clustered
	// Segmented is the trend by quarter: change a quarter before, step at the
	// change, and difference of the slopes.
	SlopeBefore Difference `json:"slope_before"`
	Step        Difference `json:"step"`
	SlopeChange Difference `json:"slope_change"`
	Reading     string     `json:"reading"`
	Warnings    []Warning  `json:"warnings,omitempty"`
}

// Funnel compares clinicians or practices (codes only) with the whole, by size
// and without ranking.
type Funnel struct {
	Units   string        `json:"units"` // "clinician" or "practice"
	Measure string        `json:"measure"`
	Target  Number        `json:"target"` // the pooled share
	Points  []FunnelPoint `json:"points,omitempty"`
	Limits  []FunnelLimit `json:"limits,omitempty"`
	LeftOut int           `json:"left_out"`                    // units with too few cases
	Unknown int           `json:"without_code" counts:"cases"` // cases without a code
	// UnknownSuppressed: their number is withheld; Suppressed: all of it is.
	UnknownSuppressed bool      `json:"without_code_suppressed,omitempty"`
	Suppressed        bool      `json:"suppressed,omitempty"`
	Phi               Number    `json:"overdispersion"`
	Inflated          bool      `json:"limits_inflated"`
	Effect            Number    `json:"design_effect"`
	Method            string    `json:"method"`
	Shown             bool      `json:"shown"`
	Reason            string    `json:"reason,omitempty"` // why it is not shown
	Reading           string    `json:"reading,omitempty"`
	Warnings          []Warning `json:"warnings,omitempty"`
}

// FunnelPoint is one unit; points are in order of code, not of value.
type FunnelPoint struct {
	Code      string `json:"code"`
	Cases     int    `json:"cases"`
	Total     int    `json:"total"`     // cases or movements
	Events    int    `json:"events"`    // of these, with the event
	Effective Number `json:"effective"` // total / design effect: where it stands on the axis of size
	Value     Number `json:"value"`
	Beyond95  bool   `json:"beyond_95"`
	Beyond998 bool   `json:"beyond_998"`
}

// FunnelLimit is the funnel at one (effective) size.
type FunnelLimit struct {
	Size    Number `json:"size"`
	Low95   Number `json:"low_95"`
	High95  Number `json:"high_95"`
	Low998  Number `json:"low_998"`
	High998 Number `json:"high_998"`
}

// Outlook is what past plans suggest about the next ones, and what more data
// would settle. It is information, never an instruction to plan more.
type Outlook struct {
	Share           Number        `json:"share" exact:"declared"` // of movements the band is meant to hold, 0.8
	CasesPerQuarter Number        `json:"cases_per_quarter"`
	Quarters        int           `json:"quarters"` // quarters the rate is taken over
	Expected        []Expectation `json:"expected,omitempty"`
	Undecided       []Undecided   `json:"undecided,omitempty"`
	Precision       []Precision   `json:"precision,omitempty"`
	Cautions        []string      `json:"cautions,omitempty"`
	Method          string        `json:"method,omitempty"`
}

// Expectation is the result to be expected of a plan of one size, with a band
// for a single new movement.
type Expectation struct {
	By        By            `json:"by"`
	Unit      casebook.Unit `json:"unit"`
	Cases     int           `json:"cases"`
	Movements int           `json:"movements"`
	Planned   Number        `json:"planned"`
	Expected  Number        `json:"expected"`
	Low       Number        `json:"low"`
	High      Number        `json:"high"`
	DF        Number        `json:"df"`
	// Held is the share of the practice's own movements that fell inside the
	// band computed without their case.
	Held     Share     `json:"held"`
	Sentence string    `json:"sentence"`
	Warnings []Warning `json:"warnings,omitempty"`
}

// Undecided is a comparison that more cases could settle.
type Undecided struct {
	By              By     `json:"by"`
	Difference      Number `json:"difference"`
	Low             Number `json:"low"`
	High            Number `json:"high"`
	Detectable      Number `json:"detectable"`
	MoreCases       Number `json:"more_cases"`        // with both styles
	CasesPerQuarter Number `json:"cases_per_quarter"` // with both styles
	Quarters        Number `json:"quarters"`          // at the present rate; null where none would do
	Sentence        string `json:"sentence"`
}

// Precision is how closely the expression of an axis is known.
type Precision struct {
	By        By     `json:"by"`
	HalfWidth Number `json:"half_width"`
	Cases     int    `json:"cases"`
	// CasesForFive is how many cases would give an interval of plus or minus five points.
	CasesForFive Number `json:"cases_for_five_points"`
}

// LossRates are features lost by the month worn. A loss happens after the
// feature was chosen: it is shown beside the comparisons and never adjusted for.
type LossRates struct {
	Rates    []LossRate  `json:"rates,omitempty"`
	Exposure []Exclusion `json:"exposure,omitempty"` // where the months worn came from, in features
	Excluded []Exclusion `json:"excluded,omitempty"` // features without a usable record
	Ratio    *LossRatio  `json:"ratio,omitempty"`
}

// LossRate is the features lost in 100 feature-months. One of Style, Shape and
// ToothClass is set, or none: all features.
type LossRate struct {
	Style      casebook.Style      `json:"style,omitzero"`
	Shape      casebook.Shape      `json:"shape,omitzero"`
	ToothClass casebook.ToothClass `json:"tooth_class,omitzero"`
	Cases      int                 `json:"cases"`
	Features   int                 `json:"features"`
	Lost       int                 `json:"lost"`
	Months     Number              `json:"months"`
	Rate       Spread              `json:"rate_per_100"`
	Method     string              `json:"method,omitempty"`
	Suppressed bool                `json:"suppressed,omitempty"`
	Warnings   []Warning           `json:"warnings,omitempty"`
}

// LossRatio is the rate of clinician-designed features over that of
// software-suggested ones.
type LossRatio struct {
	Ratio    Number    `json:"ratio"`
	Low      Number    `json:"low"`
	High     Number    `json:"high"`
	P        Number    `json:"p"`
	Method   string    `json:"method,omitempty"`
	Warnings []Warning `json:"warnings,omitempty"`
}

// Since is what changed against an earlier results file.
type Since struct {
	PreviousDate  string `json:"previous_date"`
	PreviousCases int    `json:"previous_cases"`
	// Told says how what is new was told from what the earlier audit had seen.
	Told Told `json:"told_by"`
	// EarlierFiles were read by the earlier audit; FilesHere of them are read here too.
	EarlierFiles int `json:"earlier_files"`
	FilesHere    int `json:"earlier_files_here"`
	// Records sets what is new against what the earlier audit had seen.
	Records         *InTime         `json:"records,omitempty"`
	SettingsChanged []string        `json:"settings_changed,omitempty"`
	Verdicts        []VerdictChange `json:"verdicts,omitempty"`
	// Refinements a completed case in both audits, where the saved numbers are compared.
	Refinements *MeasureChange `json:"refinements,omitempty"`
	Criteria    []AnswerChange `json:"criteria,omitempty"`
	Actions     []Action       `json:"previous_actions,omitempty"`
	Sentences   []string       `json:"sentences,omitempty"`
	Warnings    []Warning      `json:"warnings,omitempty"`
}

// Told is a way to tell new records from those of an earlier audit.
type Told string

// The ways, best first.
const (
	ToldByFiles  Told = "files"         // by the SHA-256 of the earlier audit's inputs
	ToldByMonths Told = "months"        // courses that ended after its last month
	NotTold      Told = "saved-numbers" // the earlier audit's numbers against these
)

// VerdictChange is a style comparison whose verdict is another one now.
type VerdictChange struct {
	By     By      `json:"by"`
	Before Verdict `json:"before"`
	After  Verdict `json:"after"`
}

// AnswerChange is a criterion then and now.
type AnswerChange struct {
	Name   string `json:"name"`
	Before Answer `json:"before,omitempty"` // "" where it is new
	After  Answer `json:"after"`
}
