package between

import (
	"fmt"
	"math"

	"shortfall/audit/compare"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/audit/stats/confound"
	planningstats "shortfall/audit/stats/planning"
	"shortfall/ingest/casebook"
)

// judge corrects the P values of the grid and gives the verdicts. Directions
// over all teeth of initial courses are the questions asked: their movements are
// disjoint, and they are one family, corrected by Holm's method, since page one
// calls from it. A declared comparison takes half of alpha, shared by its looks;
// else the family has it all. The same directions in refinements are a family of
// their own. Finer cells (tooth classes, arches) are parts of these and
// exploratory: one movement counts in up to three cells.
func judge(p *rows.Set, cs []results.Comparison, candidates []compare.Candidate) {
	type family struct {
		kind  compare.Family
		share float64
		in    func(c *results.Comparison) bool
	}
	rest := 1.0
	if p.Settings.Primary != (results.By{}) {
		rest = 0.5
	}
	whole := func(c *results.Comparison, course results.CourseStratum) bool {
		return !c.Primary && c.By.WholeDirection() && c.By.Course == course
	}
	for _, f := range []family{
		{compare.Confirmatory, 0.5 / float64(max(1, len(p.Settings.PrimaryLooks))), func(c *results.Comparison) bool { return c.Primary }},
		{compare.Confirmatory, rest, func(c *results.Comparison) bool { return whole(c, results.Initial) }},
		{compare.Confirmatory, 1, func(c *results.Comparison) bool { return whole(c, results.Refinement) }},
		{finer(p), 1, func(c *results.Comparison) bool { return !c.Primary && !c.By.WholeDirection() }},
	} {
		var at []int
		var members []compare.Candidate
		for i := range cs {
			if f.in(&cs[i]) {
				at, members = append(at, i), append(members, candidates[i])
			}
		}
		answers := compare.Judge(members, f.kind, p.Settings.Alpha, f.share)
		looked := lookedAt(answers)
		for k, a := range answers {
			c := &cs[at[k]]
			c.Verdict, c.Reason, c.Adjusted.PAdjusted = results.Verdict(a.Verdict), string(a.Reason), measure.OrMissing(a.PAdjusted)
			c.VerdictLevel = measure.OrMissing(a.Level)
			correctClasses(c, a.ClassP, p.Settings.Alpha)
			if c.Verdict != results.NotComparable {
				c.Because = because(p, c)
				c.Detectable, c.Power, c.MoreCases = planning(p, c)
				c.Reading = reading(p, c)
				c.Warnings = append(c.Warnings, unsettled(c.Verdict, c.Adjusted, a.Reason, looked)...)
			}
		}
	}
}

// correctClasses writes the corrected P of alike tooth classes and whether the
// check holds.
func correctClasses(c *results.Comparison, corrected, alpha float64) {
	for i := range c.Checks {
		if k := &c.Checks[i]; k.ID == compare.ClassesAlike && k.Applies {
			k.Estimate.PAdjusted = measure.OrMissing(corrected)
			k.Holds = !(corrected < alpha)
		}
	}
}

// finer is how exploratory families are corrected.
func finer(p *rows.Set) compare.Family {
	if p.Settings.Multiplicity == "holm" {
		return compare.Confirmatory
	}
	return compare.Exploratory
}

// power of the planning figures.
const power = 0.8

// planning gives the difference that this comparison, with its standard error
// and degrees of freedom, would have shown with 80 % power at the level of its
// verdict, (t(1-level/2, df) + t(power, df)) SE (Bloom 1995, Eval Rev
// 19:547-556), the power it had for the difference worth knowing, and how many more
// cases with both styles would bring what it sees down to that, the error falling
// with the square root of the cases. None looks at the difference that was seen.
func planning(p *rows.Set, c *results.Comparison) (detectable, powered, more results.Number) {
	settings := planningstats.PowerSettings{Alpha: float64(c.VerdictLevel), Power: power}
	se, df, worth := float64(c.Adjusted.SE), float64(c.Adjusted.DF), p.Settings.Worth()/100
	return measure.OrMissing(planningstats.DetectableFromSE(se, df, settings)),
		measure.OrMissing(planningstats.PowerFromSE(worth, se, df, float64(c.VerdictLevel))),
		measure.OrMissing(planningstats.MoreCasesFor(worth, se, df, c.Both, settings))
}

// eValue asks how strong an unmeasured confounder would have to be. The
// difference is standardised by the spread of expression within the arms
// (VanderWeele & Ding 2017, Ann Intern Med 167:268-274, table 2), and so are its
// own limits, whatever their level.
func eValue(p *rows.Set, c *results.Comparison, rows []int32) results.EValue {
	var w, s2 float64
	for _, i := range rows {
		r := &p.Analysed[i]
		arm := 0
		if r.Style == casebook.ClinicianDesigned {
			arm = 1
		}
		d := r.Expression() - float64(c.Arms[arm].Expression)
		w += r.Planned
		s2 += r.Planned * d * d
	}
	sd := math.Sqrt(s2 / w)
	e := confound.EValueSMDLimits(float64(c.Adjusted.Difference)/sd, float64(c.Adjusted.Low)/sd, float64(c.Adjusted.High)/sd)
	v := results.EValue{Estimate: measure.OrMissing(e.Estimate), Limit: measure.OrMissing(e.Limit)}
	switch {
	case !v.Estimate.OK() || !v.Limit.OK():
	case e.Limit > 1:
		v.Sentence = fmt.Sprintf("Something not recorded would bring the interval to no difference if it were related about %s-fold to both the choice of "+
			"attachment and a good result, beyond what was adjusted for (an approximation).", wording.Fixed(v.Limit, 1))
	default:
		v.Sentence = "The interval includes no difference already."
	}
	return v
}

// reading puts a comparison in one line.
func reading(p *rows.Set, c *results.Comparison) string {
	where := wording.Capital(p.Names.Cell(c.By))
	d, low, high := 100*float64(c.Adjusted.Difference), 100*float64(c.Adjusted.Low), 100*float64(c.Adjusted.High)
	size := fmt.Sprintf("within %s with both styles", wording.Of(c.Both, "patient"))
	return readVerdict(p, c, where, size, d, low, high) + overplanned(c) + readEquivalence(p, c)
}

// overplanned goes on with what larger plans may have to do with it.
func overplanned(c *results.Comparison) string {
	if text := wording.Overplanned(c); text != "" {
		return " " + text
	}
	return ""
}

func readVerdict(p *rows.Set, c *results.Comparison, where, size string, d, low, high float64) string {
	switch c.Verdict {
	case results.Higher:
		return fmt.Sprintf("%s: %s more of the plan was achieved with clinician-designed than with software-suggested attachments (%s %s to %s points; %s).",
			where, wording.InPoints(d), wording.CI(p.Settings.Level), wording.Rounded(low), wording.Rounded(high), size)
	case results.Lower:
		return fmt.Sprintf("%s: %s less of the plan was achieved with clinician-designed than with software-suggested attachments (%s %s to %s points less; %s).",
			where, wording.InPoints(-d), wording.CI(p.Settings.Level), wording.Rounded(-high), wording.Rounded(-low), size)
	}
	s := fmt.Sprintf("%s: the two styles were not distinguishable (difference %s, %s %s to %s; %s)",
		where, wording.InPoints(d), wording.CI(p.Settings.Level), wording.Rounded(low), wording.Rounded(high), size)
	if c.Reason != string(compare.WithinChance) {
		return s + ". " + c.Because
	}
	if c.Detectable.OK() {
		s += fmt.Sprintf("; a difference under about %s could have been missed", wording.InPoints(100*float64(c.Detectable)))
	}
	if c.MoreCases.OK() && c.MoreCases > 0 {
		s += fmt.Sprintf("; about %s with both styles would show one of %g points", wording.Of(int(c.MoreCases), "more case"), p.Settings.Worth())
	}
	return s + "."
}
