package results

import (
	"slices"

	"shortfall/ingest/casebook"
)

// Verdict on clinician-designed seen against software-suggested.
type Verdict string

// The verdict words; no others are printed.
const (
	Higher             Verdict = "higher"
	Lower              Verdict = "lower"
	NotDistinguishable Verdict = "not distinguishable"
	NotComparable      Verdict = "not comparable"
)

// Clear is true of a difference that was found.
func (v Verdict) Clear() bool { return v == Higher || v == Lower }

// Arm is one side of a comparison.
type Arm struct {
	Style         casebook.Style `json:"style"`
	Cases         int            `json:"cases"`
	Movements     int            `json:"movements"`
	MeanPlanned   Number         `json:"mean_planned"`
	SDPlanned     Number         `json:"sd_planned"`
	Expression    Number         `json:"expression"`                     // observed ratio of sums
	AdjustedRatio Number         `json:"adjusted_ratio" coarse:"paired"` // mean of the mouths with both styles, and half the difference within them either way
}

// Withheld is the reason of a comparison that may not leave the practice: cells too small
// are in it, or could be worked out from it. It says nothing of the result.
const Withheld = "withheld"

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
	// Reason is a stable id for why the verdict is what it is, "within-chance" or Withheld;
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
	// Amounts stand beside a difference that is beyond chance by itself; nil elsewhere.
	Amounts *Amounts `json:"amounts,omitempty"`
	// VerdictLevel is the level at which this comparison would be called, the
	// others of its family standing as they are.
	VerdictLevel Number `json:"verdict_level" exact:"declared"`
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

// Amounts are what was planned, and what was achieved of it, in the unit of the axis: of one
// movement, within the mouths with both styles, adjusted as the difference is but for the
// size of plan.
type Amounts struct {
	Planned  ArmAmounts `json:"planned"`
	Achieved ArmAmounts `json:"achieved"`
}

// ArmAmounts are the means of the two styles: that of both, and half the difference within
// mouths either way.
type ArmAmounts struct {
	Software   Number     `json:"software_suggested"`
	Clinician  Number     `json:"clinician_designed"`
	Difference Difference `json:"difference"` // clinician-designed minus software-suggested
}

// Overplanned is true of a verdict where the style of whose plan less was achieved had
// clearly larger plans within the same mouths, and not clearly less movement: it may have
// been planned larger than needed, on purpose, and nothing be lost.
func (c *Comparison) Overplanned() bool {
	if c.Amounts == nil {
		return false
	}
	planned, achieved := c.Amounts.Planned.Difference, c.Amounts.Achieved.Difference
	switch c.Verdict {
	case Lower:
		return planned.Low > 0 && achieved.High >= 0
	case Higher:
		return planned.High < 0 && achieved.Low <= 0
	}
	return false
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

// LeavesOutZero is true of an interval on one side of zero; false where there is none.
func (d Difference) LeavesOutZero() bool { return d.Low > 0 || d.High < 0 }

// Verdict reads one difference by its own interval, not corrected for other comparisons.
func (d Difference) Verdict() Verdict {
	switch {
	case !d.Low.OK() || !d.High.OK():
		return NotComparable
	case d.Low > 0:
		return Higher
	case d.High < 0:
		return Lower
	}
	return NotDistinguishable
}

// The warnings of a difference that is called neither way, though its interval leaves out
// zero: a check failed; the level of its verdict is stricter than that of the interval; it
// is one of several.
const (
	CheckFailed        = "check-failed"
	NotAtLevel         = "not-at-level"
	NotAfterCorrection = "not-after-correction"
)

// Warned reports a warning of the comparison by its id.
func (c *Comparison) Warned(id string) bool {
	return slices.ContainsFunc(c.Warnings, func(w Warning) bool { return w.ID == id })
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
	Margin     Number `json:"margin" exact:"declared"` // of the difference either way, a ratio
	P          Number `json:"p"`                       // the larger of the two one-sided P
	Equivalent bool   `json:"equivalent"`
}

// Reading is one way to set clinician-designed against software-suggested.
// Three stand beside every verdict; it rests on the same-mouth one.
type Reading struct {
	ID         string     `json:"id"`    // "unadjusted", "between-patients", "same-mouth"
	Label      string     `json:"label"` // as printed
	Difference Difference `json:"difference"`
	// InUnit is the same difference on the mean plan, in the unit of the axis.
	InUnit Spread `json:"in_unit"`
	Cases  int    `json:"cases"`
	// Contributing are the cases the difference rests on: those that carry both
	// styles in one mouth, or all of them.
	Contributing int      `json:"contributing_cases"`
	Movements    int      `json:"movements"` // of the contributing cases
	Adjusters    []string `json:"adjusters"`
	NotAdjusted  []string `json:"not_adjusted,omitempty"` // recorded, too few cases for
}

// The ids of the readings.
const (
	UnadjustedReading = "unadjusted"
	BetweenPatients   = "between-patients"
	SameMouthReading  = "same-mouth"
)

// Check is one other way to make a comparison. A verdict of higher or lower has
// passed every deciding check that applies.
type Check struct {
	ID       string     `json:"id"`
	Text     string     `json:"text"` // what was done
	Estimate Difference `json:"estimate"`
	Applies  bool       `json:"applies"`
	Decides  bool       `json:"decides"` // false: printed beside the verdict only
	Holds    bool       `json:"holds"`
	// Who was left out, by code; empty in results that leave the practice.
	Who string `json:"who,omitempty"`
}

// MissingOutcomes says what movements without an outcome could do to a
// comparison. Nothing of it decides but the shares.
type MissingOutcomes struct {
	Software  Number     `json:"share_software_suggested"`
	Clinician Number     `json:"share_clinician_designed"`
	Worst     Difference `json:"worst"` // clinician-designed nothing expressed, software-suggested all
	Best      Difference `json:"best"`  // the other way round
	// Tipping is how much less (more, for a difference below zero) the unmeasured
	// clinician-designed movements would have to have expressed than like ones for
	// the interval to reach zero; null where none were unmeasured or nothing would.
	Tipping  Number `json:"tipping_point"`
	Sentence string `json:"sentence,omitempty"`
}
