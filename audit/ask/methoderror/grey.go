package methoderror

import (
	"fmt"
	"math"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// Grey marks the differences that no single measurement could show:
// a mean difference, or a difference between styles on the mean plan, below
// the smallest detectable change of its unit. A mean over many movements can
// be known more closely than one movement; what is greyed is too small to be
// seen on any one tooth. It also warns where plans are not large against the
// error.
func Grey(r *results.Results) {
	smallest := map[casebook.Unit]float64{}
	for i := range r.Repeats {
		if e := &r.Repeats[i]; e.SmallestDetectable.OK() && e.SmallestDetectable > 0 {
			smallest[e.Unit] = max(smallest[e.Unit], float64(e.SmallestDetectable)) // of several ways the coarsest
		}
	}
	for i := range r.Expression {
		c := &r.Expression[i]
		sdc, ok := smallest[c.Unit]
		if !ok || c.Movements == 0 {
			continue
		}
		if sdc > r.Provenance.Settings.Tolerance(c.Unit) && c.OutsideTolerance.Value.OK() {
			c.OutsideTolerance.Warnings = append(c.OutsideTolerance.Warnings, aboveTolerance(c.Unit, sdc, &r.Provenance.Settings))
		}
		c.BelowDetectable = c.MeanDifference.Value.OK() && math.Abs(float64(c.MeanDifference.Value)) < sdc
		if float64(c.PlannedTotal)/float64(c.Movements) < sdc {
			c.Warnings = append(c.Warnings, planNearError(c.Unit, sdc))
		}
	}
	for i := range r.Comparisons {
		c := &r.Comparisons[i]
		sdc, ok := smallest[c.Unit]
		plan := meanPlan(c.Arms)
		if !ok || math.IsNaN(plan) {
			continue
		}
		c.BelowDetectable = c.Adjusted.Difference.OK() && math.Abs(float64(c.Adjusted.Difference))*plan < sdc
		if plan < sdc {
			c.Warnings = append(c.Warnings, planNearError(c.Unit, sdc))
		}
	}
}

// meanPlan of both arms of a comparison; NaN where it has no movements.
func meanPlan(arms []results.Arm) float64 {
	var sum, n float64
	for _, a := range arms {
		if a.Movements > 0 {
			sum, n = sum+float64(a.MeanPlanned)*float64(a.Movements), n+float64(a.Movements)
		}
	}
	return sum / n
}

// aboveTolerance says that single movements cannot be told to be inside tolerance or not.
func aboveTolerance(u casebook.Unit, sdc float64, s *results.Settings) results.Warning {
	return results.Warning{
		ID: "detectable-above-tolerance", Text: fmt.Sprintf("the smallest detectable change (%s) is larger than the tolerance (%g%s): that a single movement ended outside may be error of measurement alone",
			wording.Fine(results.Number(sdc), u), s.Tolerance(u), wording.UnitText(u)),
		Remedy: "measure more closely, or set a tolerance that the measurement can bear out",
	}
}

func planNearError(u casebook.Unit, sdc float64) results.Warning {
	return results.Warning{
		ID:     "plan-near-error",
		Text:   fmt.Sprintf("the mean plan is below the smallest detectable change of %.2g%s: error of measurement blurs what was expressed", sdc, wording.UnitText(u)),
		Remedy: "read the wider cell, or measure more closely",
	}
}
