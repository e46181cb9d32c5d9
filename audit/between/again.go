package between

import (
	"fmt"

	"shortfall/audit/compare"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

// ShareWithinMouths sets the two styles against each other in the mouths that hold both, by
// the share of movements of which something is so; what belongs to the patient cancels. It
// is the model of a style comparison with an outcome of 1 or 0 (a difference of shares,
// linear within mouths) in which every movement weighs the same: yes and no have no unit, so
// that directions are pooled and adjusted for, and amounts count in multiples of the
// smallest that means anything. nil where nothing can be compared.
func ShareWithinMouths(p *rows.Set, list []*rows.Row, is func(*rows.Row) bool) *results.SharesWithin {
	multiple := func(r *rows.Row) float64 { return r.Planned / p.Settings.Smallest(r.Unit()) }
	covariates := append([]Covariate{
		{Name: compare.PlannedAmount, Value: multiple},
		{Name: compare.PlannedSquared, Value: func(r *rows.Row) float64 { return multiple(r) * multiple(r) }},
	}, withinMouth("")...)
	arena := borrow(p)
	defer giveBack(p, arena)
	d := data(p, list, styleTreated, covariates, true, arena)
	for i, r := range list {
		d.Planned[i], d.Achieved[i], d.Doubted[i] = 1, float64(measure.OneIf(is(r))), false
	}
	same, err := compare.New(d, options(p))
	if err != nil { // ones and zeros are amounts that New takes
		panic(err)
	}
	if same.Failed != "" {
		return nil
	}
	half := same.Estimate.Value / 2
	asked := same.Unchecked()
	if same.Estimate.P < p.Settings.Alpha || len(same.Left) > 0 { // else it stays within chance, whatever the checks
		asked = same.Candidate()
	}
	a := compare.Judge([]compare.Candidate{asked}, compare.Confirmatory, p.Settings.Alpha, 1)[0]
	out := &results.SharesWithin{
		Both: same.Both, Movements: same.Contributing, Software: measure.OrMissing(same.Mean - half), Clinician: measure.OrMissing(same.Mean + half),
		Difference: measure.Difference(same.Estimate), Adjusters: same.Adjusters, NotAdjusted: same.Left,
		Verdict: results.Verdict(a.Verdict), Reason: string(a.Reason),
	}
	out.Difference.PAdjusted = measure.OrMissing(a.PAdjusted)
	return out
}

// ReadShares puts the difference of shares in words; what says what is so of a movement
// ("planned again").
func ReadShares(s *results.Settings, x *results.SharesWithin, what string) string {
	d := 100 * float64(x.Difference.Difference)
	size := fmt.Sprintf("%s %s; %s with both styles", wording.CI(s.Level), wording.PointLimits(x.Difference.Low, x.Difference.High), wording.Of(x.Both, "patient"))
	switch x.Verdict {
	case results.Higher:
		return fmt.Sprintf("Within the same patients movements with clinician-designed attachments were %s more often than those with software-suggested ones, by %s (%s).", what, wording.InPoints(d), size)
	case results.Lower:
		return fmt.Sprintf("Within the same patients movements with clinician-designed attachments were %s less often than those with software-suggested ones, by %s (%s).", what, wording.InPoints(-d), size)
	}
	return fmt.Sprintf("Within the same patients the movements of neither style were clearly %s more often: clinician-designed minus software-suggested %s (%s).", what, wording.InPoints(d), size)
}
