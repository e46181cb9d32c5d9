package stats

import (
	"fmt"
	"math"

	"shortfall/audit/stats/dist"
)

// FewClusters is the number of cases below which any clustered interval is rough;
// a convention, printed in the warning.
const FewClusters = 10

// FewDF is the number of degrees of freedom below which t limits are rough: Tipton
// (2015, Psychological Methods 20:375-393) found Satterthwaite's not to be trusted
// below 4; one more is a choice of this package.
const FewDF = 5

// DominantShare of the total carried by one case is warned of; a convention.
const DominantShare = 0.5

// CheckLevel refuses a confidence level outside (0, 1).
func CheckLevel(level float64) error {
	if !(level > 0 && level < 1) {
		return fmt.Errorf("stats: confidence level %v: expected between 0 and 1", level)
	}
	return nil
}

// SetLimits fills the t interval of an estimate whose Value, SE, DF and Level are set.
func (e *Estimate) SetLimits() {
	h := dist.TQuantile(0.5+e.Level/2, e.DF) * e.SE
	e.Low, e.High = e.Value-h, e.Value+h
}

// NotEstimable clears everything that needs a variance and adds the reason.
func (e *Estimate) NotEstimable(w Warning) {
	nan := math.NaN()
	e.SE, e.DF, e.Low, e.High, e.P = nan, nan, nan, nan, nan
	e.Warnings = append(e.Warnings, w)
}

// Warn adds a warning.
func (e *Estimate) Warn(id, text, remedy string) {
	e.Warnings = append(e.Warnings, Warning{ID: id, Text: text, Remedy: remedy})
}

// WarnFewClusters adds the warning shared by every clustered interval.
func (e *Estimate) WarnFewClusters() {
	if e.Clusters < FewClusters {
		e.Warn("few-clusters", fmt.Sprintf("only %d independent cases (fewer than %d): the interval is rough", e.Clusters, FewClusters),
			"collect more cases or widen the cell before acting on it")
	}
}

// WarnFewDF adds the warning of limits on few degrees of freedom.
func (e *Estimate) WarnFewDF() {
	if e.DF < FewDF {
		e.Warn("few-df", fmt.Sprintf("a few cases carry this number, so that its limits are rough (fewer than %d degrees of freedom)", FewDF),
			"add cases to the smaller group, or read the interval as a guide only")
	}
}

// Rounding is the share of a number's size that is left of it by rounding alone:
// spread below it is none.
const Rounding = 1e-12

var (
	// NoData: nothing was observed.
	NoData = Warning{
		"no-data", "no observations", "record at least two cases",
	}
	// OneCluster: no spread between cases can be seen.
	OneCluster = Warning{
		"one-case", "all observations come from one case: the spread between cases cannot be seen",
		"add cases; more teeth of the same case do not help",
	}
	// NoSpread: all cases agree but for rounding.
	NoSpread = Warning{
		"no-spread", "all cases agree to the last digit: there is no spread to build limits on",
		"check for copied, rounded or derived values, or add cases",
	}
)
