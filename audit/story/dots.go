package story

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"shortfall/audit/compare"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// dots sets every direction on one scale: clear differences first, then those
// without one, then those that cannot be compared; each in print order.
func (t *teller) dots() results.FrontDots {
	d := results.FrontDots{}
	group := func(title string, rows []results.FrontRow) {
		if len(rows) > 0 {
			d.Groups = append(d.Groups, results.FrontGroup{Title: title, Rows: rows})
		}
	}
	group("Clear difference", rowsOf(t.clear, t.row))
	for _, reason := range reasonsOf(t.unsettled) {
		group("Not settled: "+unsettled(reason), rowsOf(with(t.unsettled, reason), t.row))
	}
	group(fmt.Sprintf("Not settled: of %d directions looked at, one may differ like this by chance", len(t.told())), rowsOf(t.lone, t.row))
	group("Not settled: not at the stricter level set for the verdict", rowsOf(t.strict, t.row))
	group(notTheSame, rowsOf(t.open, t.row))
	apart, withheld := t.meanRows()
	group("Comparison withheld, which says nothing of its result"+t.meanOf(withheld), withheld)
	group(t.sameReason(apart))
	if len(d.Groups) == 0 {
		return d
	}
	d.Title, d.Sub = t.dotsWords()
	d.NoInterval = t.noInterval(d.Groups)
	return d
}

// noInterval is why a mean of all teeth has none: of how few cases it is, which are others
// than the patients beside it.
func (t *teller) noInterval(groups []results.FrontGroup) string {
	for _, g := range groups {
		if slices.ContainsFunc(g.Rows, func(r results.FrontRow) bool {
			return !r.Difference.OK() && r.Mean.OK() && !r.MeanLow.OK() && t.cells[r.By].Cases < t.s.MinIntervalCases
		}) {
			return fmt.Sprintf("no CI: mean of under %s", wording.Of(t.s.MinIntervalCases, "case"))
		}
	}
	return ""
}

// unsettled says in a few words which check a difference beyond chance failed.
func unsettled(reason string) string { return compare.Reason(reason).FewWords() }

// reasonsOf lists the reasons in order of first use.
func reasonsOf(cs []*results.Comparison) (out []string) {
	for _, c := range cs {
		if !slices.Contains(out, c.Reason) {
			out = append(out, c.Reason)
		}
	}
	return out
}

func with(cs []*results.Comparison, reason string) (out []*results.Comparison) {
	for _, c := range cs {
		if c.Reason == reason {
			out = append(out, c)
		}
	}
	return out
}

// meanOf names what is drawn of directions without a comparison.
func (t *teller) meanOf(rows []results.FrontRow) string {
	if slices.ContainsFunc(rows, func(r results.FrontRow) bool { return r.MeanLow.OK() }) {
		return ": mean of all teeth (" + t.ci() + ")"
	}
	return ": mean of all teeth"
}

// sameReason says once, in the title, what holds for every row.
func (t *teller) sameReason(rows []results.FrontRow) (string, []results.FrontRow) {
	mean := t.meanOf(rows)
	title := "Styles cannot be compared" + mean
	if slices.ContainsFunc(rows, func(r results.FrontRow) bool { return strings.HasPrefix(r.Reason, bothIn) }) {
		title += "; on the right: patients with both styles"
	}
	for _, r := range rows {
		if r.Reason != rows[0].Reason {
			return title, rows
		}
	}
	if len(rows) < 2 {
		return title, rows
	}
	reason := rows[0].Reason
	if of, ok := strings.CutPrefix(reason, bothIn); ok {
		reason = "both styles in " + strings.Replace(of, " with", " patients with", 1)
	}
	title = "Styles cannot be compared (" + reason + ")" + mean
	for i := range rows {
		if rows[i].Mean.OK() {
			rows[i].Reason = ""
		}
	}
	return title, rows
}

func (t *teller) dotsWords() (title, sub string) {
	told, can := len(t.told()), "can be compared"
	if len(t.withheld) > 0 {
		can = "may be shown"
	}
	sub = "Achieved, % of planned, first set of aligners"
	switch {
	case told == 0:
		return "How much of the plan was achieved, by direction", sub
	case told == 1 && len(t.clear) == 0:
		title = "The one direction that " + can + " does not differ clearly"
	case told == 1:
		title = "The one direction that " + can + " differs clearly"
	case len(t.clear) == 0:
		title = fmt.Sprintf("None of %s that %s differs clearly", directionsCount(told), can)
		if len(t.apart)+len(t.withheld) == 0 {
			title = fmt.Sprintf("None of %s differs clearly", directionsCount(told))
		}
	case len(t.clear) == told:
		title = fmt.Sprintf("All %s that %s differ clearly", directionsCount(told), can)
		if len(t.apart)+len(t.withheld) == 0 {
			title = fmt.Sprintf("All %s differ clearly", directionsCount(told))
		}
	default:
		title = fmt.Sprintf("%d of %s that %s %s clearly", len(t.clear), directionsCount(told), can, differ(len(t.clear)))
		if len(t.apart)+len(t.withheld) == 0 {
			title = fmt.Sprintf("%d of %s %s clearly", len(t.clear), directionsCount(told), differ(len(t.clear)))
		}
	}
	return title, "First set; n: patients with both; points: clinician-designed minus software-suggested, same patients, rounded"
}

func differ(n int) string {
	if n == 1 {
		return "differs"
	}
	return "differ"
}

var nan = results.Number(math.NaN())

func rowsOf(cs []*results.Comparison, row func(*results.Comparison) results.FrontRow) (out []results.FrontRow) {
	for _, c := range cs {
		out = append(out, row(c))
	}
	return out
}

// notTheSame heads the directions without a clear difference; how much could have been
// missed stands in the lead, where nothing is clear.
const notTheSame = "No clear difference, which is not the same as none: see the intervals"

// missed is the largest difference that the interval of an open direction allows for, in
// the surest and in the least sure one: ends that the figure draws.
func (t *teller) missed() string {
	reach := func(c *results.Comparison) float64 {
		d := difference(c)
		return farther(d.Low, d.High)
	}
	cs := slices.DeleteFunc(slices.Clone(t.open), func(c *results.Comparison) bool { return math.IsNaN(reach(c)) })
	if len(cs) == 0 {
		return ""
	}
	by := func(a, b *results.Comparison) int { return cmp.Compare(reach(a), reach(b)) }
	points := func(c *results.Comparison) string {
		return "up\u00a0to\u00a0" + wording.Whole(results.Number(reach(c))) + " points"
	}
	surest, least := slices.MinFunc(cs, by), slices.MaxFunc(cs, by)
	they := "The attachments may still differ by "
	if len(cs) < len(t.told()) { // those that show a difference stand apart
		they = "Where no difference shows, the attachments may still differ by "
	}
	switch {
	case len(cs) == 1:
		return they + points(surest) + " in " + t.noun(surest.By.Direction) + ", the end of its interval."
	case points(surest) == points(least):
		return they + points(surest) + ", the ends of the intervals."
	}
	return they + points(surest) + " in " + t.noun(surest.By.Direction) + ", which is known best, and by " + points(least) + " in " + t.noun(least.By.Direction) + ", known least."
}

// byDirection is added to a span.
func byDirection(shares []float64) string {
	if strings.Contains(spanOf(shares), " to ") {
		return ", depending on the direction"
	}
	return ""
}

// eachOf is "31 and 34" of two, which are no span; "31 to 38" of more.
func eachOf(shares []float64) string {
	s := spanOf(shares)
	if len(shares) == 2 {
		s = strings.Replace(s, " to ", " and ", 1)
	}
	return s
}

// spanOf is "9 to 35", in hundredths, or "9" where all are.
func spanOf(shares []float64) string {
	low, high := results.Number(slices.Min(shares)), results.Number(slices.Max(shares))
	if wording.Whole(low) == wording.Whole(high) {
		return wording.Whole(low)
	}
	return wording.Whole(low) + " to " + wording.Whole(high)
}

// power is what a practice of this size would have called of a difference worth
// knowing.
func (t *teller) power() string {
	var ps []float64
	for _, c := range t.told() {
		if c.Power > 0 { // results of older versions have none
			ps = append(ps, float64(c.Power))
		}
	}
	if len(ps) == 0 {
		return ""
	}
	return fmt.Sprintf("A true difference of %g points would be found in %s of 100 audits of this size%s.", t.s.Worth(), spanOf(ps), byDirection(ps))
}

// difference is what a comparison is judged on.
func difference(c *results.Comparison) results.Difference { return c.Adjusted }

// row places a pair about the mean of the mouths that hold both.
func (t *teller) row(c *results.Comparison) results.FrontRow {
	d := difference(c)
	sw, cl := arm(c, casebook.SoftwareSuggested).AdjustedRatio, arm(c, casebook.ClinicianDesigned).AdjustedRatio
	same, _ := sameMouth(c)
	return results.FrontRow{
		By: c.By, Name: t.rowName(c.By.Direction), Unstated: t.unstated(c.By.Direction), Clear: c.Verdict.Clear(),
		Mean: (sw + cl) / 2, MeanLow: nan, MeanHigh: nan, Software: sw, Clinician: cl,
		Difference: d.Difference, Low: d.Low, High: d.High, Amount: same.InUnit.Value,
	}
}

func arm(c *results.Comparison, s casebook.Style) results.Arm {
	for _, a := range c.Arms {
		if a.Style == s {
			return a
		}
	}
	return results.Arm{}
}

// sameMouth is the reading that a verdict rests on.
func sameMouth(c *results.Comparison) (results.Reading, bool) {
	for _, r := range c.Readings {
		if r.ID == results.SameMouthReading {
			return r, true
		}
	}
	return results.Reading{}, false
}

// meanRows are the directions without a comparison that have a mean to show, those whose
// comparison is withheld by themselves.
func (t *teller) meanRows() (apart, withheld []results.FrontRow) {
	reason := map[casebook.Direction]string{}
	for _, c := range t.apart {
		reason[c.By.Direction] = t.shortReason(c)
	}
	kept, judged := map[casebook.Direction]bool{}, map[casebook.Direction]bool{}
	for _, c := range t.withheld {
		kept[c.By.Direction] = true
	}
	for _, c := range t.told() {
		judged[c.By.Direction] = true
	}
	for _, d := range casebook.Directions() {
		cell, ok := t.cells[results.InFirstSets(d)]
		if judged[d] || !ok {
			continue
		}
		r := results.FrontRow{By: results.InFirstSets(d), Name: t.rowName(d), Unstated: t.unstated(d), Mean: nan, MeanLow: nan, MeanHigh: nan, Software: nan, Clinician: nan, Difference: nan, Low: nan, High: nan, Amount: nan, Reason: reason[d]}
		if !cell.Suppressed {
			r.Mean, r.MeanLow, r.MeanHigh = cell.Estimate, cell.Low, cell.High
		}
		switch {
		case cell.Suppressed:
			r.Reason = "too few to show"
		case r.Reason == "" && !kept[d]:
			r.Reason = t.oneSided()
		}
		if kept[d] {
			withheld = append(withheld, r)
		} else {
			apart = append(apart, r)
		}
	}
	return apart, withheld
}

// oneSided says which style is not on record at all.
func (t *teller) oneSided() string {
	switch software, clinician := t.styled(); {
	case software == 0 && clinician == 0:
		return t.unattached() + " on record"
	case clinician == 0:
		return "none clinician-designed"
	case software == 0:
		return "none software-suggested"
	}
	return "one style only, or none"
}

// shortReason says in a few words why two styles are not compared.
func (t *teller) shortReason(c *results.Comparison) string {
	cl, sw := arm(c, casebook.ClinicianDesigned), arm(c, casebook.SoftwareSuggested)
	same, _ := sameMouth(c)
	switch {
	case cl.Movements == 0 && sw.Movements == 0:
		return "neither style on record"
	case cl.Movements == 0:
		return "none clinician-designed"
	case sw.Movements == 0:
		return "none software-suggested"
	case c.Reason == string(compare.DifferentPatients) && same.Cases > 0:
		return fmt.Sprintf(bothIn+"%d of %s with attachments", c.Both, wording.Count(same.Cases))
	case shortReasons[c.Reason] != "":
		return shortReasons[c.Reason]
	}
	return "cannot be estimated"
}

// bothIn begins how many patients carry both styles.
const bothIn = "both: "

var shortReasons = map[string]string{
	string(compare.DifferentPatients): "styles used in different patients", string(compare.NoOverlap): "plans of the two styles hardly overlap", string(compare.NotAdjusted): "too few to adjust for size of plan",
	string(compare.FewDF): "would rest on a few cases", string(compare.NotALook): "not one of the declared looks",
	string(compare.NothingLater): "no course ended since it was declared",
}
