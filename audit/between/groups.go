package between

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/compare"
	"shortfall/audit/disclose"
	"shortfall/audit/measure"
	"shortfall/audit/parallel"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/ingest/casebook"
)

// Grouping is a two-group question asked within cells: which rows are in the
// group, what the groups are called, and what is adjusted for besides what is
// recorded of single movements.
type Grouping struct {
	Group   func(*rows.Row) bool
	Names   [2]string // group, reference
	Without string    // a covariate that is the grouping itself
	Also    []Covariate
	// Further adds adjusters of a comparison between patients, behind the planned amount.
	Further func(*AdjusterBuilder)
	// Admits says which movements without an outcome belong to the question; nil:
	// they are not looked at.
	Admits func(*rows.Row) bool
	// Dose, where there is one, is a number of every row: what is asked for is the
	// change of expression with one more of it, Per in words ("1 mm of attachment").
	// Group then parts the larger doses from the smaller.
	Dose func(*rows.Row) float64
	Per  string
}

// Family is one question asked in many cells: its P values are corrected together.
type Family struct{ asked []asking }

// asking is one of its cells.
type asking struct {
	by    results.By
	which []int32
	g     *Grouping
}

// Ask sets a group against its reference in one cell within mouths, with the model,
// the checks and the limits of a style comparison, once Judge gives the verdicts. Checks
// are not printed, so they are made, and the P of alike tooth classes corrected, where
// the difference is beyond chance by itself.
func (f *Family) Ask(by results.By, which []int32, g *Grouping) {
	f.asked = append(f.asked, asking{by, which, g})
}

func compareGroups(p *rows.Set, by results.By, which []int32, g *Grouping, memory *rows.Near) (results.GroupComparison, compare.Candidate) {
	var missing []int32
	if g.Admits != nil {
		missing = slices.DeleteFunc(p.MissingIn(by), func(i int32) bool { return !g.Admits(&p.Missing[i]) })
	}
	p, which, missing = p.Near(which, missing, memory)
	c := results.GroupComparison{
		By: by, Unit: by.Axis.Unit(), Unadjusted: measure.NoDifference(), Adjusted: measure.NoDifference(),
	}
	arena := borrow(p)
	defer giveBack(p, arena)
	arms := arms(p, which, g.Group, arena) // the reference comes first
	c.Reference, c.Group = groupArm(g.Names[1], arms[0]), groupArm(g.Names[0], arms[1])
	if c.Per = g.Per; g.Dose == nil {
		if min(c.Reference.Cases, c.Group.Cases) >= p.Settings.MinIntervalCases {
			c.Unadjusted = unadjusted(p, which, g.Group)
		}
		c.Unadjusted.Difference = measure.OrMissing(float64(c.Group.Expression - c.Reference.Expression))
	}
	same := groupContrast(p, by, &cell{which, missing}, g, arena)
	c.Adjusted, c.Adjusters, c.NotAdjusted, c.Both = measure.Difference(same.Estimate), same.Adjusters, same.Left, same.Both
	c.Warnings = append(c.Warnings, measure.Warnings(same.Estimate.Warnings)...)
	if len(c.NotAdjusted) > 0 {
		c.Warnings = append(c.Warnings, leftOutWithin())
	}
	if same.Failed != "" {
		c.Adjusted.P, c.Unadjusted.P = results.NotEstimable, results.NotEstimable
		c.Warnings = append(c.Warnings, groupsApart(p, g, same))
	}
	if same.Estimate.P < p.Settings.Alpha { // else it stays within chance, whatever the checks
		return c, same.Candidate()
	}
	return c, same.Unchecked()
}

// groupContrast makes the contrast within mouths of two groups, or of doses. A
// tooth is in a refinement because it fell short, so there it is compared only
// given its own earlier course, as the styles are.
func groupContrast(p *rows.Set, by results.By, in *cell, g *Grouping, arena *stats.Arena) *compare.Contrast {
	list, covariates := in.rows(p), slices.Concat(g.Also, withinMouth(g.Without))
	if by.Course == results.Refinement {
		list, covariates = refined(p, list), append(ofBefore(p), covariates...)
	}
	d := data(p, list, g.Group, covariates, by.ToothClass == casebook.NoClass, arena)
	if g.Dose != nil {
		d.Dose = arena.Floats(len(list))
		for i, r := range list {
			d.Dose[i] = g.Dose(r)
		}
	}
	same, err := compare.New(d, options(p))
	if err != nil { // rows.Set holds no movement that New refuses
		panic(err)
	}
	if by.Course == results.Refinement && len(list) == 0 {
		same.Failed = compare.NoEarlierCourse
	}
	return same
}

// groupsApart says why two groups are not comparable.
func groupsApart(p *rows.Set, g *Grouping, same *compare.Contrast) results.Warning {
	w := results.Warning{ID: string(same.Failed), Text: whyNotComparable(p, same), Remedy: "record more cases, or read the wider cell"}
	if same.Failed == compare.DifferentPatients {
		who, what := "the two", "both"
		if g.Dose != nil {
			who, what = "they", "several"
		}
		w.Text = fmt.Sprintf("%s were used in different patients: fewer than %d carry %s for one movement and set", who, p.Settings.MinBothCases, what)
	}
	return w
}

func groupArm(name string, a results.Arm) results.GroupArm {
	return results.GroupArm{Name: name, Cases: a.Cases, Movements: a.Movements, MeanPlanned: a.MeanPlanned, Expression: a.Expression}
}

// Judge makes the comparisons, corrects the P values over the family and gives the
// verdicts, in the words of a style comparison; nil where nothing was asked, or ctx
// has ended.
func (f *Family) Judge(ctx context.Context, p *rows.Set) []results.GroupComparison {
	if len(f.asked) == 0 {
		return nil
	}
	out, candidates := make([]results.GroupComparison, len(f.asked)), make([]compare.Candidate, len(f.asked))
	err := parallel.Do(ctx, len(out), func() func(int) {
		var near rows.Near
		return func(i int) {
			a := &f.asked[i]
			out[i], candidates[i] = compareGroups(p, a.by, a.which, a.g, &near)
		}
	})
	if err != nil {
		return nil
	}
	judgeGroups(p, out, candidates)
	return out
}

// judgeGroups writes the verdicts of one family.
func judgeGroups(p *rows.Set, out []results.GroupComparison, candidates []compare.Candidate) {
	answers := compare.Judge(candidates, finer(p), p.Settings.Alpha, 1)
	looked := lookedAt(answers)
	for i, a := range answers {
		c := &out[i]
		c.Verdict, c.Reason, c.Adjusted.PAdjusted = results.Verdict(a.Verdict), string(a.Reason), measure.OrMissing(a.PAdjusted)
		c.Reading = readGroups(p, c)
		c.Warnings = append(c.Warnings, unsettled(c.Verdict, c.Adjusted, a.Reason, looked)...)
	}
}

func readGroups(p *rows.Set, c *results.GroupComparison) string {
	where := wording.Capital(p.Names.Cell(c.By))
	d, low, high := 100*float64(c.Adjusted.Difference), 100*float64(c.Adjusted.Low), 100*float64(c.Adjusted.High)
	group, reference := "movements "+c.Group.Name, "those "+c.Reference.Name
	if strings.HasPrefix(c.Reference.Name, "kept") {
		reference = "those that " + c.Reference.Name
	}
	size := fmt.Sprintf("%d against %s", c.Group.Cases, wording.Of(c.Reference.Cases, "case"))
	each := ""
	if c.Per != "" {
		size, each = "within "+wording.Of(c.Both, "patient")+" with several", " for each "+c.Per
	}
	switch c.Verdict {
	case results.Higher:
		return fmt.Sprintf("%s: %s achieved %s more of the plan%s than %s (%s %s to %s; %s).", where, group, wording.InPoints(d), each, reference, wording.CI(p.Settings.Level), wording.Rounded(low), wording.Rounded(high), size)
	case results.Lower:
		return fmt.Sprintf("%s: %s achieved %s less of the plan%s than %s (%s %s to %s less; %s).", where, group, wording.InPoints(-d), each, reference, wording.CI(p.Settings.Level), wording.Rounded(-high), wording.Rounded(-low), size)
	case results.NotDistinguishable:
		return fmt.Sprintf("%s: %s and %s were not distinguishable (difference %s, %s %s to %s; %s).", where, group, reference, wording.InPoints(d)+each, wording.CI(p.Settings.Level), wording.Rounded(low), wording.Rounded(high), size)
	}
	why := ""
	if n := len(c.Warnings); n > 0 {
		why = ": " + c.Warnings[n-1].Text
	}
	return fmt.Sprintf("%s: %s and %s are not comparable%s.", where, group, reference, why)
}

// WithholdGroups empties every comparison with an arm below the minimum number of
// cases, for results that leave the practice, and the difference within few mouths,
// which has no verdict.
func WithholdGroups(s *results.Settings, cs []results.GroupComparison) {
	for i := range cs {
		if c := &cs[i]; min(c.Group.Cases, c.Reference.Cases) < s.MinCellCases {
			KeepBack(c, s)
		} else if disclose.Small(s, c.Both) {
			c.Both, c.Adjusted = 0, measure.NoDifference()
		}
	}
}

// KeepBack empties a comparison, its verdict too, which would tell a sign.
func KeepBack(c *results.GroupComparison, s *results.Settings) {
	blank := results.GroupArm{MeanPlanned: results.NotEstimable, Expression: results.NotEstimable}
	c.Group, c.Reference = results.GroupArm{Name: c.Group.Name, MeanPlanned: blank.MeanPlanned, Expression: blank.Expression}, results.GroupArm{Name: c.Reference.Name, MeanPlanned: blank.MeanPlanned, Expression: blank.Expression}
	c.Unadjusted, c.Adjusted, c.Reading, c.Suppressed = measure.NoDifference(), measure.NoDifference(), "", true
	c.Verdict, c.Adjusters, c.NotAdjusted, c.Both, c.Reason = results.NotComparable, nil, nil, 0, results.Withheld
	c.Warnings = []results.Warning{disclose.TooFewShown(s)}
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
