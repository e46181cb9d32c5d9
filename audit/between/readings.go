package between

import (
	"fmt"
	"math"
	"strings"

	"shortfall/audit/compare"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// readings are the three ways to set the styles against each other: as they
// stand, between patients (no fit where an arm is small), and within mouths.
func readings(p *rows.Set, which []int32, arms []results.Arm, fit *armsFit, same *compare.Contrast) []results.Reading {
	plan := meanPlan(arms)
	blank := results.Reading{
		Difference: measure.NoDifference(), InUnit: measure.NoSpread(), Cases: CasesIn(p, which), Movements: len(which), Adjusters: []string{},
	}
	raw, apart, within := blank, blank, blank
	raw.ID, raw.Label = results.UnadjustedReading, "as they stand"
	apart.ID, apart.Label = results.BetweenPatients, "between patients, adjusted"
	within.ID, within.Label = results.SameMouthReading, "same patients"
	raw.Contributing, apart.Contributing = raw.Cases, apart.Cases
	raw.Difference.Difference = measure.OrMissing(float64(arms[1].Expression - arms[0].Expression))
	if fit != nil {
		raw.Difference, apart.Difference = fit.unadjusted, fit.adjusted
		apart.Adjusters, apart.NotAdjusted = append([]string{}, fit.adjusters...), fit.left
		if fit.Failed != nil {
			apart.Difference.P = results.NotEstimable
		}
	}
	within.Difference, within.Cases, within.Contributing = withinMouths(same), same.Patients, same.Both
	within.Movements, within.NotAdjusted = same.Contributing, same.Left
	within.Adjusters = append(within.Adjusters, same.Adjusters...)
	raw.InUnit, apart.InUnit = onPlan(raw.Difference, plan), onPlan(apart.Difference, plan)
	within.InUnit = onPlan(within.Difference, same.MeanPlanned)
	return []results.Reading{raw, apart, within}
}

// withinMouths is the difference within mouths; none where so few patients carry both styles
// that it is theirs alone, adjusted for nearly as much as there is.
func withinMouths(same *compare.Contrast) results.Difference {
	if same.Failed == compare.DifferentPatients {
		return measure.NoDifference()
	}
	return measure.Difference(same.Estimate)
}

// onPlan is a difference of expression on a plan of this size.
func onPlan(d results.Difference, plan float64) results.Spread {
	by := func(x results.Number) results.Number { return measure.OrMissing(float64(x) * plan) }
	return results.Spread{Value: by(d.Difference), SE: by(d.SE), DF: d.DF, Low: by(d.Low), High: by(d.High)}
}

// meanPlan of both arms.
func meanPlan(arms []results.Arm) float64 {
	var sum, n float64
	for _, a := range arms {
		if a.Movements > 0 {
			sum, n = sum+float64(a.MeanPlanned)*float64(a.Movements), n+float64(a.Movements)
		}
	}
	return sum / n
}

// overlapOf the plans in the mouths that hold both styles.
func overlapOf(same *compare.Contrast) results.Overlap {
	if same.Both == 0 {
		return results.Overlap{ShareInside: results.NotEstimable, Reason: "no mouth holds both styles"}
	}
	o := same.Overlap()
	return results.Overlap{ShareInside: measure.OrMissing(min(o.ShareA, o.ShareB)), Enough: o.Enough, Reason: o.Reason}
}

// amounts of the two styles, beside a difference that may be called.
func amounts(c *results.Comparison, same *compare.Contrast) *results.Amounts {
	if !c.Adjusted.LeavesOutZero() {
		return nil
	}
	a, ok := same.Amounts()
	if !ok {
		return nil
	}
	of := func(mean float64, d results.Difference) results.ArmAmounts {
		d.P = results.NotEstimable // nothing is tested
		half := float64(d.Difference) / 2
		return results.ArmAmounts{Software: measure.OrMissing(mean - half), Clinician: measure.OrMissing(mean + half), Difference: d}
	}
	return &results.Amounts{Planned: of(a.MeanPlanned, measure.Difference(a.Planned)), Achieved: of(a.MeanAchieved, measure.Difference(a.Achieved))}
}

// checkTexts say what each check does.
var checkTexts = map[string]string{
	compare.WithoutDoubted:   "without amounts that cannot be right as they stand",
	compare.WithoutPatient:   "without the patient who moves the difference most towards none",
	compare.Winsorised:       "expressions beyond the 5th and 95th percentile brought in to them",
	compare.MissingShare:     "outcomes missing in either style within the limit",
	compare.MissingAlike:     "movements without an outcome given no difference",
	compare.WithoutClinician: "without any one clinician",
	compare.FullyAdjusted:    "adjusted for every covariate recorded, beyond what there is room for",
	compare.ClassesAlike:     "the same difference in every tooth class",
	compare.WithoutClass:     "the other teeth, with the tooth class set apart that leaves them least",
}

// checks are the deciding ones, then the two extremes of missing outcomes, which
// do not decide.
func checks(p *rows.Set, same *compare.Contrast, list []*rows.Row) (out []results.Check) {
	for _, k := range same.Checks() {
		x := results.Check{ID: k.ID, Text: checkTexts[k.ID], Estimate: checkEstimate(k), Applies: k.Applies, Holds: k.Holds, Decides: true}
		switch {
		case k.ID == compare.WithoutDoubted && k.Applies:
			x.Who = doubtedCells(p, list)
		case k.ID == compare.WithoutPatient && k.Who >= 0:
			x.Who = p.CaseName(k.Who)
		case k.ID == compare.WithoutClinician && k.Who > 0:
			x.Who = p.Clinicians[k.Who-1]
		case k.ID == compare.WithoutClass && k.Who > 0:
			x.Who = wording.Teeth(casebook.ToothClass(k.Who))
		}
		out = append(out, x)
	}
	return out
}

// mostNamed amounts are named in a sentence; the list of them all is a section.
const mostNamed = 3

// doubtedCells names the measured movements whose amounts cannot be right.
func doubtedCells(p *rows.Set, list []*rows.Row) string {
	var names []string
	for _, r := range list {
		if r.Doubt != casebook.NoDoubt && !math.IsNaN(r.Achieved) {
			name := fmt.Sprintf("%s, tooth %s, course %d: %s of %s", p.CaseName(r.Cluster), r.Tooth.In(p.Settings.Notation), max(r.Movement.Course, 1),
				wording.Amount(results.Number(r.Achieved), r.Unit()), wording.Amount(results.Number(r.Planned), r.Unit()))
			if r.Movement.Confirmed == casebook.AsMeasured {
				name += ", confirmed on reading"
			}
			names = append(names, name)
		}
	}
	if n := len(names) - mostNamed; n > 0 {
		names = append(names[:mostNamed], fmt.Sprintf("and %d more", n))
	}
	return strings.Join(names, "; ")
}

func checkEstimate(k compare.Check) results.Difference {
	d := measure.NoDifference()
	if !k.Applies || math.IsNaN(k.Estimate.Value) && math.IsNaN(k.Estimate.P) {
		return d
	}
	n := func(x float64) results.Number { return measure.OrMissing(x) }
	e := k.Estimate
	if k.ID == compare.WithoutClinician || k.ID == compare.ClassesAlike || k.ID == compare.MissingShare { // no interval of its own
		d.Difference, d.P = n(e.Value), n(e.P)
		if k.ID != compare.ClassesAlike {
			d.P = results.NotEstimable
		}
		return d
	}
	return results.Difference{Difference: n(e.Value), SE: n(e.SE), DF: n(e.DF), Low: n(e.Low), High: n(e.High), P: n(e.P), PAdjusted: results.NotEstimable, Method: e.Method}
}

// missingOutcomes says what the movements without an outcome could do; nil
// where every outcome was measured.
func missingOutcomes(same *compare.Contrast) *results.MissingOutcomes {
	against, in, ok := same.Extremes()
	if !ok {
		return nil
	}
	shares := same.MissingShares()
	m := &results.MissingOutcomes{
		Software: measure.OrMissing(shares[0]), Clinician: measure.OrMissing(shares[1]),
		Worst: measure.Difference(against), Best: measure.Difference(in), Tipping: measure.OrMissing(same.TippingPoint()),
	}
	m.Worst.P, m.Best.P = results.NotEstimable, results.NotEstimable
	m.Sentence = fmt.Sprintf("Were every missing outcome the worst for clinician-designed attachments the difference would be %s, the best %s; these bounds never decide.",
		wording.InPoints(100*against.Value), wording.InPoints(100*in.Value))
	if e := same.Estimate; m.Tipping.OK() && measure.Difference(e).LeavesOutZero() {
		word := "less"
		if e.Value < 0 {
			word = "more"
		}
		m.Sentence += fmt.Sprintf(" The difference vanishes into chance if unmeasured clinician-designed movements reached %s %s than like ones.",
			wording.InPoints(100*float64(m.Tipping)), word)
	}
	return m
}
