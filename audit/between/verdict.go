package between

import (
	"fmt"
	"math"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/audit/stats/confound"
	"shortfall/audit/stats/decide"
	"shortfall/audit/stats/planning"
	"shortfall/ingest/casebook"
)

// judge corrects the P values of the grid and gives the verdicts. Directions
// over all teeth, by course, are the questions asked; their movements are
// disjoint, and they are one family. The finer cells (tooth classes, arches)
// are parts of them: one movement counts in up to three cells, so that in one
// family a single effect would be counted three times over and its neighbours
// would pass the more easily for it. They are explored in a family of their
// own. The false discovery rate holds under the positive dependence of cells
// that share movements and cases (Benjamini & Yekutieli 2001, Ann Stat
// 29:1165-1188; the exact condition cannot be verified here).
func judge(p *rows.Set, cs []results.Comparison) {
	var families [2][]int
	for i := range cs {
		c := &cs[i]
		switch {
		case c.Verdict == results.NotComparable:
		case c.Primary:
			c.Adjusted.PAdjusted = c.Adjusted.P
		default:
			f := &families[1-measure.OneIf(WholeDirection(c.By))]
			*f = append(*f, i)
		}
	}
	for _, family := range families {
		ps := make([]float64, len(family))
		for k, i := range family {
			ps[k] = float64(cs[i].Adjusted.P)
		}
		for k, adjusted := range correct(p, ps) {
			cs[family[k]].Adjusted.PAdjusted = results.Number(adjusted)
		}
	}
	for i := range cs {
		verdict(p, &cs[i])
	}
}

// WholeDirection names a cell over all teeth of both arches.
func WholeDirection(b results.By) bool {
	return b.Direction != casebook.NoDirection && b.Tooth == 0 && b.ToothClass == casebook.NoClass && b.Arch == casebook.NoArch
}

// correct adjusts the P values of one family as the settings say.
func correct(p *rows.Set, ps []float64) []float64 {
	if len(ps) == 0 {
		return nil
	}
	if p.Settings.Multiplicity == "holm" {
		return decide.Holm(ps)
	}
	return decide.BenjaminiHochberg(ps)
}

func verdict(p *rows.Set, c *results.Comparison) {
	if c.Verdict == results.NotComparable {
		return
	}
	switch {
	case !(float64(c.Adjusted.PAdjusted) < p.Settings.Alpha):
		c.Verdict = results.NotDistinguishable
	case c.Adjusted.Difference > 0:
		c.Verdict = results.Higher
	default:
		c.Verdict = results.Lower
	}
	c.Reading = reading(p, c)
}

// power of the planning figures.
const power = 0.8

// planFor gives the difference that this comparison, with its standard error and
// degrees of freedom, would have shown with 80 % power, and how many more cases an
// arm would settle the difference that was seen, the standard error falling with
// the square root of the cases. Nothing settles a difference a tenth of the
// detectable one within reason, so that is left open.
func planFor(p *rows.Set, c *results.Comparison) (detectable, more results.Number) {
	seen := planning.DetectableFromSE(float64(c.Adjusted.SE), float64(c.Adjusted.DF), planning.PowerSettings{Alpha: p.Settings.Alpha, Power: power})
	detectable = measure.OrMissing(seen)
	factor := seen / math.Abs(float64(c.Adjusted.Difference))
	if !(factor <= 10) {
		return detectable, results.NotEstimable
	}
	cases := float64(c.Arms[0].Cases+c.Arms[1].Cases) / 2
	return detectable, results.Number(max(0, math.Ceil((factor*factor-1)*cases)))
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
	if v.Estimate.OK() && v.Limit.OK() {
		v.Sentence = fmt.Sprintf("To explain this difference away, something not recorded would have to raise both the chance of "+
			"choosing the feature and the chance of a good result about %.1f-fold each, beyond what was adjusted for; "+
			"%.1f-fold would bring the interval to no difference (an approximation).", e.Estimate, e.Limit)
		if e.Limit <= 1 {
			v.Sentence = fmt.Sprintf("The interval includes no difference already; something not recorded, related %.1f-fold to both "+
				"the choice of feature and the result, could account for the estimate (an approximation).", e.Estimate)
		}
	}
	return v
}

// reading puts a comparison in one line.
func reading(p *rows.Set, c *results.Comparison) string {
	where := wording.Cell(c.By, p.Settings.Notation)
	d, low, high := 100*float64(c.Adjusted.Difference), 100*float64(c.Adjusted.Low), 100*float64(c.Adjusted.High)
	size := fmt.Sprintf("%d and %s, clinician-designed first", c.Arms[1].Cases, wording.Counted(c.Arms[0].Cases, "case"))
	return readVerdict(p, c, where, size, d, low, high) + readEquivalence(p, c)
}

func readVerdict(p *rows.Set, c *results.Comparison, where, size string, d, low, high float64) string {
	switch c.Verdict {
	case results.Higher:
		return fmt.Sprintf("%s: clinician-designed features went with %s more of the plan than software-suggested ones (%s %s to %s points; %s).",
			where, wording.InPoints(d), wording.CI(p.Settings.Level), wording.Rounded(low), wording.Rounded(high), size)
	case results.Lower:
		return fmt.Sprintf("%s: clinician-designed features went with %s less of the plan than software-suggested ones (%s %s to %s points less; %s).",
			where, wording.InPoints(-d), wording.CI(p.Settings.Level), wording.Rounded(-high), wording.Rounded(-low), size)
	}
	s := fmt.Sprintf("%s: the two styles were not distinguishable (difference %s, %s %s to %s; %s)",
		where, wording.InPoints(d), wording.CI(p.Settings.Level), wording.Rounded(low), wording.Rounded(high), size)
	if c.Detectable.OK() {
		s += fmt.Sprintf("; a difference of %s could have been seen", wording.InPoints(100*float64(c.Detectable)))
	}
	if c.MoreCases.OK() && c.MoreCases > 0 {
		s += fmt.Sprintf("; about %s in each style would settle the one observed", wording.Counted(int(c.MoreCases), "more case"))
	}
	return s + "."
}
