package between

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/compare"
	"shortfall/audit/measure"
	"shortfall/audit/parallel"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
	"shortfall/ingest/casebook"
)

// variant is one other choice of what is analysed.
type variant struct {
	ID, choice string
	p          *rows.Set
	keep       func(*rows.Row) bool // nil: all
}

// Sensitivity repeats the comparisons that matter most under other choices:
// the primary and every direction over all teeth with a verdict, then finer
// cells with one, then the directions left. First come the checks that decide,
// as the verdict had them, then other choices, which do not.
func Sensitivity(ctx context.Context, p *rows.Set, cs []results.Comparison) ([]results.Sensitivity, error) {
	chosen := sensitiveCells(cs, p.Settings.Questions.SensitivityTables)
	if len(chosen) == 0 {
		return nil, nil
	}
	other := make([][]results.SensitivityRow, len(chosen))
	for k, choose := range otherChoices {
		v := choose(p) // one after the other: each can have rows of its own
		told := ctx
		if k+1 < len(otherChoices) {
			told = parallel.Told(ctx, nil)
		}
		if err := parallel.Do(told, len(chosen), func() func(int) {
			var near rows.Near
			return func(i int) { other[i] = append(other[i], v.row(chosen[i], &near)) }
		}); err != nil {
			return nil, err
		}
	}
	out := make([]results.Sensitivity, len(chosen))
	for i := range chosen {
		out[i] = sensitivityOf(p, chosen[i], other[i])
	}
	return out, nil
}

func sensitivityOf(p *rows.Set, c *results.Comparison, other []results.SensitivityRow) results.Sensitivity {
	own := cellOf(p, c, nil)
	s := results.Sensitivity{By: c.By, Rows: []results.SensitivityRow{{
		ID: "as-reported", Choice: "as reported", Adjusted: c.Adjusted, Verdict: c.Verdict, Decides: true, Holds: failing(c) == nil,
		Cases: CasesIn(p, own.measured), Movements: len(own.measured), Outside: outsideDifference(p, own.measured),
	}}}
	for _, k := range c.Checks {
		if k.Applies && k.Estimate.Low.OK() {
			s.Rows = append(s.Rows, results.SensitivityRow{
				ID: k.ID, Choice: named(k), Adjusted: k.Estimate, Verdict: k.Estimate.Verdict(), Outside: measure.NoDifference(), Decides: true, Holds: k.Holds,
			})
		}
	}
	s.Rows = append(s.Rows, other...)
	if m := c.Missing; m != nil {
		for _, x := range []struct {
			id, choice string
			d          results.Difference
		}{
			{"missing-against-clinician", "every missing outcome against clinician-designed (a bound: nothing of it achieved, all of software-suggested)", m.Worst},
			{"missing-for-clinician", "every missing outcome for clinician-designed (a bound: all of it achieved, nothing of software-suggested)", m.Best},
		} {
			s.Rows = append(s.Rows, results.SensitivityRow{ID: x.id, Choice: x.choice, Adjusted: x.d, Verdict: x.d.Verdict(), Outside: measure.NoDifference()})
		}
	}
	ReadSensitivity(&s, c, p)
	return s
}

// WithholdSensitivity keeps back the counts of the rows in results that leave the
// practice: by difference they would show who was left out.
func WithholdSensitivity(_ *rows.Set, list []results.Sensitivity) {
	for i := range list {
		for k := range list[i].Rows {
			list[i].Rows[k].Cases, list[i].Rows[k].Movements = 0, 0
		}
	}
}

// named tells a check with whom it leaves out.
func named(k results.Check) string {
	if k.Who == "" {
		return k.Text
	}
	return k.Text + " (" + k.Who + ")"
}

// cellOf finds the movements of a comparison again, in its own set or another.
func cellOf(p *rows.Set, c *results.Comparison, keep func(*rows.Row) bool) *gridCell {
	g := &gridCell{by: c.By, primary: c.Primary}
	if c.Primary {
		*g = primaryCell(p)
	} else {
		g.cell = *featured(p, c.By)
	}
	if keep != nil {
		g.measured = slices.DeleteFunc(slices.Clone(g.measured), func(i int32) bool { return !keep(&p.Analysed[i]) })
		g.missing = slices.DeleteFunc(slices.Clone(g.missing), func(i int32) bool { return !keep(&p.Missing[i]) })
	}
	return g
}

// sensitiveCells picks every comparison that page one shows, whatever the limit, and
// finer ones that are told up to it.
func sensitiveCells(cs []results.Comparison, limit int) []*results.Comparison {
	var out []*results.Comparison
	take := func(limit int, want func(*results.Comparison) bool) {
		for i := range cs {
			c := &cs[i]
			if len(out) < limit && c.Verdict != results.NotComparable && c.Adjusted.Difference.OK() && want(c) && !slices.Contains(out, c) {
				out = append(out, c)
			}
		}
	}
	told := func(c *results.Comparison) bool { return c.Verdict.Clear() }
	take(len(cs), func(c *results.Comparison) bool { return c.Primary })
	take(len(cs), func(c *results.Comparison) bool { return told(c) && c.By.WholeDirection() })
	take(limit, told)
	take(len(cs), func(c *results.Comparison) bool { return c.By.WholeInFirstSets() })
	return out
}

// otherChoices make the variants. Each has its own set of rows where the choice decides
// what is analysed.
var otherChoices = []func(*rows.Set) variant{
	func(p *rows.Set) variant { return smallestPlan(p, 0.5, "halved") },
	func(p *rows.Set) variant { return smallestPlan(p, 2, "doubled") },
	func(p *rows.Set) variant {
		return variant{
			ID: "completed-cases", choice: "completed cases only", p: p,
			keep: func(r *rows.Row) bool { return p.Log(r).Status == casebook.Completed },
		}
	},
}

func smallestPlan(p *rows.Set, factor float64, word string) variant {
	q := p.WithSmallest(p.Settings.SmallestMM*factor, p.Settings.SmallestDeg*factor)
	return variant{
		ID: "smallest-plan-" + word, p: q,
		choice: fmt.Sprintf("smallest plan %s (%g mm, %g°)", word, q.Settings.SmallestMM, q.Settings.SmallestDeg),
	}
}

// row repeats a comparison on other movements: the contrast, nothing of the rest
// of a comparison's tables.
func (v *variant) row(reported *results.Comparison, memory *rows.Near) results.SensitivityRow {
	p, g := cellOf(v.p, reported, v.keep).near(v.p, memory)
	out := results.SensitivityRow{
		ID: v.ID, Choice: v.choice, Adjusted: measure.NoDifference(), Verdict: results.NotComparable,
		Cases: CasesIn(p, g.measured), Movements: len(g.measured), Outside: outsideDifference(p, g.measured),
	}
	arena := borrow(p)
	defer giveBack(p, arena)
	same, _ := contrastOf(p, g, arena)
	if out.Adjusted = measure.Difference(same.Estimate); same.Failed != "" {
		out.Adjusted.P = results.NotEstimable
		return out
	}
	out.Verdict = out.Adjusted.Verdict()
	return out
}

// armCases counts the cases with software-suggested and clinician-designed rows.
func armCases(p *rows.Set, rows []int32) (n [2]int) {
	last := [2]int{-1, -1}
	for _, i := range rows {
		r := &p.Analysed[i]
		if arm := measure.OneIf(styleTreated(r)); last[arm] != r.Cluster {
			n[arm], last[arm] = n[arm]+1, r.Cluster
		}
	}
	return n
}

// CasesIn counts the cases of analysed rows.
func CasesIn(p *rows.Set, rows []int32) int {
	n, last := 0, -1
	for _, i := range rows {
		if c := p.Analysed[i].Cluster; c != last {
			n, last = n+1, c
		}
	}
	return n
}

// outsideDifference is the difference in the share outside tolerance, not
// adjusted (CR2 by case).
func outsideDifference(p *rows.Set, rows []int32) results.Difference {
	if cases := armCases(p, rows); min(cases[0], cases[1]) < p.Settings.MinIntervalCases {
		return measure.NoDifference()
	}
	n, arena := len(rows), borrow(p)
	defer giveBack(p, arena)
	m := stats.LinearModel{
		Names: []string{"intercept", "style"}, X: arena.Room(2 * n)[:0], Y: arena.Room(n)[:0], Cluster: arena.Places(n)[:0], Arena: arena,
	}
	for _, i := range rows {
		r := &p.Analysed[i]
		if !r.Judged(&p.Settings) {
			continue
		}
		m.X = append(m.X, 1, float64(measure.OneIf(r.Style == casebook.ClinicianDesigned)))
		m.Y, m.Cluster = append(m.Y, float64(measure.OneIf(r.Outside(&p.Settings)))), append(m.Cluster, r.Cluster)
	}
	fit, err := robust.FitLinear(m, stats.CR2)
	if err != nil {
		return measure.NoDifference()
	}
	return measure.Difference(fit.Contrast([]float64{0, 1}, p.Settings.Level))
}

// SameThroughout is the reading of a comparison that is not distinguishable under
// any choice.
func SameThroughout(s *results.Sensitivity, n wording.Names) string {
	return readAlike(s.By, results.NotDistinguishable, n)
}

func readAlike(by results.By, v results.Verdict, n wording.Names) string {
	return fmt.Sprintf("%s: %s.", wording.Capital(n.Cell(by)), v)
}

// ReadSensitivity says, by the rule of the verdict, which checks keep it, and under which
// other choices the interval would stand otherwise to zero than that of the first row. A
// check has nothing to keep where the interval includes zero as reported.
func ReadSensitivity(s *results.Sensitivity, c *results.Comparison, p *rows.Set) {
	var lost, otherwise, empty []string
	own := c.Adjusted.Verdict()
	for i := range s.Rows[1:] {
		r := &s.Rows[i+1]
		switch {
		case r.Decides && !r.Holds && own != results.NotDistinguishable:
			lost, r.Named = append(lost, r.Choice), true
		case r.Decides:
		case r.Verdict == results.NotComparable:
			empty = append(empty, shortChoice(r.Choice))
		case r.Verdict != own:
			otherwise, r.Named = append(otherwise, fmt.Sprintf("%s (%s)", shortChoice(r.Choice), r.Verdict)), true
		}
	}
	s.Stable = len(otherwise)+len(lost) == 0
	s.Reading = readAlike(s.By, c.Verdict, p.Names)
	switch told := c.Verdict.Clear(); {
	case told:
		s.Reading += " Every check that decides keeps it."
	case c.Reason != string(compare.WithinChance):
		s.Reading += " " + c.Because
	case c.Warned(results.NotAtLevel):
		s.Reading += " By itself its interval leaves out zero, but not at the stricter level set for its verdict."
	case own != results.NotDistinguishable:
		s.Reading += " By itself its interval leaves out zero, after correction it is within chance."
	}
	if len(lost) > 0 {
		s.Reading += " A check does not hold: " + strings.Join(lost, "; ") + "."
	}
	if len(otherwise) > 0 {
		s.Reading += " Of the choices that decide nothing it would read otherwise under: " + strings.Join(otherwise, "; ") + "."
	}
	if len(empty) > 0 {
		s.Reading += " Too little was left to compare under: " + strings.Join(empty, "; ") + "."
	}
}

// shortChoice leaves out what a choice explains in brackets, which the table has.
func shortChoice(choice string) string {
	short, _, _ := strings.Cut(choice, " (")
	return short
}
