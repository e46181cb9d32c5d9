package between

import (
	"fmt"
	"strings"

	"shortfall/audit/disclose"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// Grouping is a two-group question asked within cells: which rows are in the
// group, what the groups are called, and what is adjusted for besides the
// recorded covariates.
type Grouping struct {
	Group     func(*rows.Row) bool
	Names     [2]string // group, reference
	Without   string    // an adjuster that is the grouping itself
	Adjusters func(rows []int32) []Adjuster
	// required: without all of its own adjusters there is no comparison.
	Required bool
}

// CompareGroups sets a group against its reference in one cell, with the same
// weighted model, variance and limits as a style comparison. The verdict is
// provisional until judgeGroups has corrected for multiplicity.
func CompareGroups(p *rows.Set, by results.By, rows []int32, g *Grouping) results.GroupComparison {
	c := results.GroupComparison{
		By: by, Unit: by.Axis.Unit(), Verdict: results.NotDistinguishable,
		Unadjusted: measure.NoDifference(), Adjusted: measure.NoDifference(),
	}
	arms := arms(p, rows, g.Group) // the reference comes first
	c.Reference, c.Group = groupArm(g.Names[1], arms[0]), groupArm(g.Names[0], arms[1])
	c.Unadjusted.Difference = measure.OrMissing(float64(c.Group.Expression - c.Reference.Expression))
	if need := p.Settings.MinIntervalCases; c.Reference.Cases < need || c.Group.Cases < need {
		groupsNotComparable(&c, fewInGroups(need))
		return c
	}
	fit := FitGroups(p, rows, g)
	c.Unadjusted, c.Adjusted, c.Adjusters, c.NotAdjusted = fit.unadjusted, fit.adjusted, fit.adjusters, fit.left
	c.Warnings = append(c.Warnings, fit.warnings...)
	overlap := overlap(p, rows, g.Group)
	switch {
	case fit.Failed != nil:
		groupsNotComparable(&c, *fit.Failed)
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

// JudgeGroups corrects the P values over one family of comparisons and gives
// the verdicts, in the words of a style comparison.
func JudgeGroups(p *rows.Set, cs []results.GroupComparison) {
	var family []int
	var ps []float64
	for i := range cs {
		if cs[i].Verdict != results.NotComparable {
			family, ps = append(family, i), append(ps, float64(cs[i].Adjusted.P))
		}
	}
	adjusted := correct(p, ps)
	for k, i := range family {
		c := &cs[i]
		c.Adjusted.PAdjusted = results.Number(adjusted[k])
		switch {
		case !(adjusted[k] < p.Settings.Alpha):
		case c.Adjusted.Difference > 0:
			c.Verdict = results.Higher
		default:
			c.Verdict = results.Lower
		}
	}
	for i := range cs {
		cs[i].Reading = readGroups(p, &cs[i])
	}
}

func readGroups(p *rows.Set, c *results.GroupComparison) string {
	where := wording.Cell(c.By, p.Settings.Notation)
	d, low, high := 100*float64(c.Adjusted.Difference), 100*float64(c.Adjusted.Low), 100*float64(c.Adjusted.High)
	group, reference := "movements "+c.Group.Name, "those "+c.Reference.Name
	if strings.HasPrefix(c.Reference.Name, "kept") {
		reference = "those that " + c.Reference.Name
	}
	size := fmt.Sprintf("%d against %s", c.Group.Cases, wording.Counted(c.Reference.Cases, "case"))
	switch c.Verdict {
	case results.Higher:
		return fmt.Sprintf("%s: %s went with %s more of the plan than %s (%s %s to %s; %s).", where, group, wording.InPoints(d), reference, wording.CI(p.Settings.Level), wording.Rounded(low), wording.Rounded(high), size)
	case results.Lower:
		return fmt.Sprintf("%s: %s went with %s less of the plan than %s (%s %s to %s less; %s).", where, group, wording.InPoints(-d), reference, wording.CI(p.Settings.Level), wording.Rounded(-high), wording.Rounded(-low), size)
	case results.NotDistinguishable:
		return fmt.Sprintf("%s: %s and %s were not distinguishable (difference %s, %s %s to %s; %s).", where, group, reference, wording.InPoints(d), wording.CI(p.Settings.Level), wording.Rounded(low), wording.Rounded(high), size)
	}
	why := ""
	if n := len(c.Warnings); n > 0 {
		why = ": " + c.Warnings[n-1].Text
	}
	return fmt.Sprintf("%s: %s and %s are not comparable%s.", where, group, reference, why)
}

// WithholdGroups empties every comparison with an arm below the minimum number of
// cases, for results that leave the practice.
func WithholdGroups(s *results.Settings, cs []results.GroupComparison) {
	for i := range cs {
		if c := &cs[i]; min(c.Group.Cases, c.Reference.Cases) < s.MinCellCases {
			KeepBack(c, s)
		}
	}
}

// KeepBack empties a comparison, its verdict too, which would tell a sign.
func KeepBack(c *results.GroupComparison, s *results.Settings) {
	blank := results.GroupArm{MeanPlanned: results.NotEstimable, Expression: results.NotEstimable}
	c.Group, c.Reference = results.GroupArm{Name: c.Group.Name, MeanPlanned: blank.MeanPlanned, Expression: blank.Expression}, results.GroupArm{Name: c.Reference.Name, MeanPlanned: blank.MeanPlanned, Expression: blank.Expression}
	c.Unadjusted, c.Adjusted, c.Reading, c.Suppressed = measure.NoDifference(), measure.NoDifference(), "", true
	c.Verdict, c.Adjusters, c.NotAdjusted = results.NotComparable, nil, nil
	c.Warnings = []results.Warning{disclose.TooFewShown(s)}
}

// WordsOf makes an adjuster of one covariate that is a word.
func WordsOf(p *rows.Set, rows []int32, name string, code func(*rows.Row) int) []Adjuster {
	b := &AdjusterBuilder{P: p, Rows: rows}
	b.Words(name, code)
	return b.Out
}

// CellsByDirection lists the rows that keep admits by axis, direction, course,
// in print order: the direction over all teeth, as sparse questions need.
func CellsByDirection(p *rows.Set, keep func(*rows.Row) bool) (by []results.By, rows [][]int32) {
	var lists [casebook.DirectionCount + 1][2][]int32
	for i := range p.Analysed {
		if r := &p.Analysed[i]; keep(r) {
			l := &lists[r.Direction][1-measure.OneIf(r.First)]
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
