package results

// Why a planned movement has no measured outcome.
const (
	OutcomeMissing = "outcome-missing"
	PercentageOnly = "percentage-only"
)

// WithoutOutcome counts the planned movements that were not measured.
func (r *Results) WithoutOutcome() (n int) {
	for _, e := range r.Excluded {
		if e.ID == OutcomeMissing || e.ID == PercentageOnly {
			n += e.Movements
		}
	}
	return n
}
