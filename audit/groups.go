package audit

import (
	"fmt"
	"strings"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// grouping is a two-group question asked within cells: which rows are in the
// group, what the groups are called, and what is adjusted for besides the
// recorded covariates.
type grouping struct {
	group     func(*row) bool
	names     [2]string // group, reference
	without   string    // an adjuster that is the grouping itself
	adjusters func(rows []int32) []adjuster
	// required: without all of its own adjusters there is no comparison.
	required bool
}

// compareGroups sets a group against its reference in one cell, with the same
// weighted model, variance and limits as a style comparison. The verdict is
// provisional until judgeGroups has corrected for multiplicity.
func (p *prepared) compareGroups(by results.By, rows []int32, g *grouping) results.GroupComparison {
	c := results.GroupComparison{
		By: by, Unit: by.Axis.Unit(), Verdict: results.NotDistinguishable,
		Unadjusted: noDifference(), Adjusted: noDifference(),
	}
	arms := p.arms(rows, g.group) // the reference comes first
	c.Reference, c.Group = groupArm(g.names[1], arms[0]), groupArm(g.names[0], arms[1])
	c.Unadjusted.Difference = orMissing(float64(c.Group.Expression - c.Reference.Expression))
	if need := p.settings.MinIntervalCases; c.Reference.Cases < need || c.Group.Cases < need {
		groupsNotComparable(&c, fewInGroups(need))
		return c
	}
	fit := p.fitGroups(rows, g)
	c.Unadjusted, c.Adjusted, c.Adjusters, c.NotAdjusted = fit.unadjusted, fit.adjusted, fit.adjusters, fit.left
	c.Warnings = append(c.Warnings, fit.warnings...)
	overlap := p.overlap(rows, g.group)
	switch {
	case fit.failed != nil:
		groupsNotComparable(&c, *fit.failed)
	case !overlap.Enough:
		groupsNotComparable(&c, results.Warning{ID: "no-overlap", Text: overlap.Reason, Remedy: "compare plans of like size, or record more of them in both groups"})
	}
	return c
}

func groupArm(name string, a results.Arm) results.GroupArm {
	return results.GroupArm{Name: name, Cases: a.Cases, Movements: a.Movements, MeanPlanned: a.MeanPlanned, Expression: a.Expression}
}

func groupsNotComparable(c *results.GroupComparison, why results.Warning) {
	c.Verdict = results.NotComparable
	c.Adjusted.P, c.Unadjusted.P = results.NotEstimable, results.NotEstimable
	c.Warnings = append(c.Warnings, why)
}

func fewInGroups(need int) results.Warning {
	return results.Warning{
		ID: "few-cases-in-arm", Text: fmt.Sprintf("fewer than %d cases in one of the two groups", need),
		Remedy: "record more cases, or read the wider cell",
	}
}

// judgeGroups corrects the P values over one family of comparisons and gives
// the verdicts, in the words of a style comparison.
func (p *prepared) judgeGroups(cs []results.GroupComparison) {
	var family []int
	var ps []float64
	for i := range cs {
		if cs[i].Verdict != results.NotComparable {
			family, ps = append(family, i), append(ps, float64(cs[i].Adjusted.P))
		}
	}
	adjusted := p.correct(ps)
	for k, i := range family {
		c := &cs[i]
		c.Adjusted.PAdjusted = results.Number(adjusted[k])
		switch {
		case !(adjusted[k] < p.settings.Alpha):
		case c.Adjusted.Difference > 0:
			c.Verdict = results.Higher
		default:
			c.Verdict = results.Lower
		}
	}
	for i := range cs {
		cs[i].Reading = p.readGroups(&cs[i])
		p.withholdGroups(&cs[i])
	}
}

func (p *prepared) readGroups(c *results.GroupComparison) string {
	where := cellName(c.By, p.settings.Notation)
	d, low, high := 100*float64(c.Adjusted.Difference), 100*float64(c.Adjusted.Low), 100*float64(c.Adjusted.High)
	group, reference := "movements "+c.Group.Name, "those "+c.Reference.Name
	if strings.HasPrefix(c.Reference.Name, "kept") {
		reference = "those that " + c.Reference.Name
	}
	size := fmt.Sprintf("%d against %s", c.Group.Cases, count(c.Reference.Cases, "case"))
	switch c.Verdict {
	case results.Higher:
		return fmt.Sprintf("%s: %s went with %s more of the plan than %s (%s %s to %s; %s).", where, group, points(d), reference, p.ci(), whole(low), whole(high), size)
	case results.Lower:
		return fmt.Sprintf("%s: %s went with %s less of the plan than %s (%s %s to %s less; %s).", where, group, points(-d), reference, p.ci(), whole(-high), whole(-low), size)
	case results.NotDistinguishable:
		return fmt.Sprintf("%s: %s and %s were not distinguishable (difference %s, %s %s to %s; %s).", where, group, reference, points(d), p.ci(), whole(low), whole(high), size)
	}
	why := ""
	if n := len(c.Warnings); n > 0 {
		why = ": " + c.Warnings[n-1].Text
	}
	return fmt.Sprintf("%s: %s and %s are not comparable%s.", where, group, reference, why)
}

// withholdGroups empties a comparison that may not leave the practice: with an
// arm below the minimum number of cases.
func (p *prepared) withholdGroups(c *results.GroupComparison) {
	s := &p.settings
	if !s.Shared || c.Group.Cases >= s.MinCellCases && c.Reference.Cases >= s.MinCellCases {
		return
	}
	keepBack(c, s)
}

// keepBack empties a comparison, its verdict too, which would tell a sign.
func keepBack(c *results.GroupComparison, s *results.Settings) {
	blank := results.GroupArm{MeanPlanned: results.NotEstimable, Expression: results.NotEstimable}
	c.Group, c.Reference = results.GroupArm{Name: c.Group.Name, MeanPlanned: blank.MeanPlanned, Expression: blank.Expression}, results.GroupArm{Name: c.Reference.Name, MeanPlanned: blank.MeanPlanned, Expression: blank.Expression}
	c.Unadjusted, c.Adjusted, c.Reading, c.Suppressed = noDifference(), noDifference(), "", true
	c.Verdict, c.Adjusters, c.NotAdjusted = results.NotComparable, nil, nil
	c.Warnings = []results.Warning{tooFewShown(s)}
}

// wordsOf makes an adjuster of one covariate that is a word.
func (p *prepared) wordsOf(rows []int32, name string, code func(*row) int) []adjuster {
	b := &adjusterBuilder{p: p, rows: rows}
	b.words(name, code)
	return b.out
}

// cellsByDirection lists the rows that keep admits by axis, direction, course,
// in print order: the direction over all teeth, as sparse questions need.
func (p *prepared) cellsByDirection(keep func(*row) bool) (by []results.By, rows [][]int32) {
	var lists [13][2][]int32
	for i := range p.analysed {
		if r := &p.analysed[i]; keep(r) {
			l := &lists[r.direction][1-oneIf(r.first)]
			*l = append(*l, int32(i))
		}
	}
	for _, d := range casebook.Directions() {
		for course, stratum := range []results.CourseStratum{results.Initial, results.Refinement} {
			if l := lists[d][course]; len(l) > 0 {
				by, rows = append(by, results.By{Axis: d.Axis(), Direction: d, Course: stratum}), append(rows, l)
			}
		}
	}
	return by, rows
}
