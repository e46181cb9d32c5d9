package results

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
