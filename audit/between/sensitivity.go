package between

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/measure"
	"shortfall/audit/parallel"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
	"shortfall/ingest/casebook"
)

// variant is one other choice a comparison is repeated under.
type variant struct {
	ID, choice string
	p          *rows.Set
	lists      *featuredLists
	keep       func(*rows.Row) bool // nil: all
	sameModel  bool                 // the choice leaves the rows and the model as they are
}

// Sensitivity repeats the comparisons that matter most under other choices:
// the primary and every direction over all teeth with a verdict, then finer
// cells with one, then the directions left.
func Sensitivity(ctx context.Context, p *rows.Set, cs []results.Comparison) ([]results.Sensitivity, error) {
	chosen := sensitiveCells(cs, p.Settings.Questions.SensitivityTables)
	if len(chosen) == 0 {
		return nil, nil
	}
	variants, err := allVariants(p)
	if err != nil {
		return nil, err
	}
	own := FeaturedLists(p)
	for i := range variants {
		v := &variants[i]
		if v.lists = own; v.p != p {
			v.lists = FeaturedLists(v.p)
		}
	}
	out := make([]results.Sensitivity, 0, len(chosen))
	for _, c := range chosen {
		s := results.Sensitivity{By: c.By, Rows: make([]results.SensitivityRow, 1+len(variants))}
		s.Rows[0] = asReported(p, c, own.Rows(p, c.By))
		err := parallel.Do(ctx, len(variants), func() func(int) {
			return func(i int) { s.Rows[1+i] = variants[i].row(c) }
		})
		if err != nil {
			return nil, err
		}
		ReadSensitivity(&s, p)
		out = append(out, s)
	}
	return out, nil
}

// sensitiveCells picks up to limit comparisons; those that page one may tell are
// in it whatever the limit.
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
	told := func(c *results.Comparison) bool { return c.Verdict == results.Higher || c.Verdict == results.Lower }
	take(len(cs), func(c *results.Comparison) bool { return c.Primary })
	take(len(cs), func(c *results.Comparison) bool { return told(c) && WholeDirection(c.By) })
	take(limit, told)
	take(limit, func(c *results.Comparison) bool { return WholeDirection(c.By) && c.By.Course == results.Initial })
	return out
}

// allVariants lists the other choices. Each has its own prepared dataset where
// the choice decides what is analysed.
func allVariants(p *rows.Set) ([]variant, error) {
	var out []variant
	for _, by := range []struct {
		factor   float64
		ID, word string
	}{{0.5, "halved", "halved"}, {2, "doubled", "doubled"}} {
		s := p.Settings
		s.ToleranceMM, s.ToleranceDeg = s.ToleranceMM*by.factor, s.ToleranceDeg*by.factor
		q := *p
		q.Settings = s
		out = append(out, variant{
			ID: "tolerance-" + by.ID, p: &q, sameModel: true,
			choice: fmt.Sprintf("tolerance %s (%g mm, %g°)", by.word, s.ToleranceMM, s.ToleranceDeg),
		})
	}
	for _, by := range []struct {
		factor   float64
		ID, word string
	}{{0.5, "halved", "halved"}, {2, "doubled", "doubled"}} {
		s := p.Settings
		s.SmallestMM, s.SmallestDeg = s.SmallestMM*by.factor, s.SmallestDeg*by.factor
		q, err := rows.Prepare(p.Dataset, s)
		if err != nil {
			return nil, err
		}
		out = append(out, variant{
			ID: "smallest-plan-" + by.ID, p: q,
			choice: fmt.Sprintf("smallest plan %s (%g mm, %g°)", by.word, s.SmallestMM, s.SmallestDeg),
		})
	}
	out = append(
		out,
		variant{ID: "completed-cases", choice: "completed cases only", p: p, keep: func(r *rows.Row) bool { return p.Log(r).Status == casebook.Completed }},
		variant{ID: "all-recorded", choice: "movements with every covariate recorded", p: p, keep: func(r *rows.Row) bool { return allRecorded(p, r) }},
		variant{ID: "missing-against-clinician", choice: "missing outcomes: clinician-designed nothing expressed, software-suggested all", p: Imputed(p, casebook.SoftwareSuggested)},
		variant{ID: "missing-for-clinician", choice: "missing outcomes: clinician-designed all expressed, software-suggested nothing", p: Imputed(p, casebook.ClinicianDesigned)},
	)
	for code, name := range p.Clinicians {
		out = append(out, variant{
			ID: withoutClinician, choice: "without clinician " + name, p: p,
			keep: func(r *rows.Row) bool { return p.Clinician(r) != code+1 },
		})
	}
	return out, nil
}

// allRecorded reports a row that lacks none of the covariates of the model.
func allRecorded(p *rows.Set, r *rows.Row) bool {
	c := p.Log(r)
	return c.Wear != casebook.NoWear && c.AgeBand != casebook.NoAgeBand && c.ChangeDays.OK && c.Clinician != "" && r.Staging != casebook.NoStaging
}

// Imputed adds the movements without an outcome: all expressed under the
// favoured style, nothing under the other. Those of patients who left are
// among them.
func Imputed(p *rows.Set, favoured casebook.Style) *rows.Set {
	q := *p
	q.Analysed = make([]rows.Row, 0, len(p.Analysed)+len(p.Missing))
	i := 0
	for _, m := range p.Missing {
		for i < len(p.Analysed) && rows.CompareMovements(p.Analysed[i].Movement, m.Movement) < 0 {
			q.Analysed = append(q.Analysed, p.Analysed[i])
			i++
		}
		m.Achieved = 0
		if m.Style == favoured {
			m.Achieved = m.Planned
		}
		q.Analysed = append(q.Analysed, m)
	}
	q.Analysed = append(q.Analysed, p.Analysed[i:]...)
	return &q
}

// row repeats a comparison: the model and what a verdict needs, nothing of the
// rest of a comparison's tables.
func (v *variant) row(reported *results.Comparison) results.SensitivityRow {
	which := v.lists.Rows(v.p, reported.By)
	if v.keep != nil {
		which = slices.DeleteFunc(which, func(i int32) bool { return !v.keep(&v.p.Analysed[i]) })
	}
	out := results.SensitivityRow{
		ID: v.ID, Choice: v.choice, Adjusted: measure.NoDifference(), Verdict: results.NotComparable,
		Cases: CasesIn(v.p, which), Movements: len(which), Outside: outsideDifference(v.p, which),
	}
	if v.sameModel {
		out.Adjusted = reported.Adjusted
		out.Adjusted.PAdjusted = results.NotEstimable
		out.Verdict = PlainVerdict(out.Adjusted)
		return out
	}
	if cases := armCases(v.p, which); min(cases[0], cases[1]) < v.p.Settings.MinIntervalCases {
		return out
	}
	treated := func(r *rows.Row) bool { return r.Style == casebook.ClinicianDesigned }
	fit := FitGroups(v.p, which, &Grouping{Group: treated})
	if out.Adjusted = fit.adjusted; fit.Failed != nil || !overlap(v.p, which, treated).Enough {
		out.Adjusted.P = results.NotEstimable
		return out
	}
	out.Verdict = PlainVerdict(out.Adjusted)
	return out
}

// armCases counts the cases with software-suggested and clinician-designed rows.
func armCases(p *rows.Set, rows []int32) (n [2]int) {
	last := [2]int{-1, -1}
	for _, i := range rows {
		r := &p.Analysed[i]
		if arm := measure.OneIf(r.Style == casebook.ClinicianDesigned); last[arm] != r.Cluster {
			n[arm], last[arm] = n[arm]+1, r.Cluster
		}
	}
	return n
}

func CasesIn(p *rows.Set, rows []int32) int {
	n, last := 0, -1
	for _, i := range rows {
		if c := p.Analysed[i].Cluster; c != last {
			n, last = n+1, c
		}
	}
	return n
}

// asReported is the first line: the comparison as the grid gave it, its
// verdict by its own interval like the other lines.
func asReported(p *rows.Set, c *results.Comparison, rows []int32) results.SensitivityRow {
	return results.SensitivityRow{
		ID: "as-reported", Choice: "as reported", Adjusted: c.Adjusted, Verdict: PlainVerdict(c.Adjusted),
		Cases: CasesIn(p, rows), Movements: len(rows), Outside: outsideDifference(p, rows),
	}
}

// outsideDifference is the difference in the share outside tolerance, not
// adjusted (CR2 by case).
func outsideDifference(p *rows.Set, rows []int32) results.Difference {
	if cases := armCases(p, rows); min(cases[0], cases[1]) < p.Settings.MinIntervalCases {
		return measure.NoDifference()
	}
	n := len(rows)
	m := stats.LinearModel{
		Names: []string{"intercept", "style"}, X: make([]float64, 0, 2*n), Y: make([]float64, 0, n), Cluster: make([]int, 0, n),
	}
	for _, i := range rows {
		r := &p.Analysed[i]
		m.X = append(m.X, 1, float64(measure.OneIf(r.Style == casebook.ClinicianDesigned)))
		m.Y, m.Cluster = append(m.Y, float64(measure.OneIf(r.Outside(&p.Settings)))), append(m.Cluster, r.Cluster)
	}
	fit, err := robust.FitLinear(m, stats.CR2)
	if err != nil {
		return measure.NoDifference()
	}
	return measure.Difference(fit.Contrast([]float64{0, 1}, p.Settings.Level))
}

const withoutClinician = "without-clinician"

// WithholdSensitivity takes out what would point at a clinician or, by the
// difference of two counts, at those who were left out.
func WithholdSensitivity(p *rows.Set, ss []results.Sensitivity) {
	for k := range ss {
		s := &ss[k]
		s.Rows = slices.DeleteFunc(s.Rows, func(r results.SensitivityRow) bool { return r.ID == withoutClinician })
		for i := range s.Rows {
			s.Rows[i].Cases, s.Rows[i].Movements = 0, 0
		}
		ReadSensitivity(s, p)
	}
}

// ReadSensitivity says which choices would have changed the answer.
func ReadSensitivity(s *results.Sensitivity, p *rows.Set) {
	base := s.Rows[0].Verdict
	var other, lost []string
	for _, r := range s.Rows[1:] {
		switch {
		case r.Verdict == base:
		case r.Verdict == results.NotComparable:
			lost = append(lost, r.Choice)
		default:
			other = append(other, fmt.Sprintf("%s (%s)", r.Choice, r.Verdict))
		}
	}
	s.Stable = len(other) == 0
	where := wording.Cell(s.By, p.Settings.Notation)
	s.Reading = fmt.Sprintf("%s: %s under every choice tried.", where, base)
	if len(other) > 0 {
		s.Reading = fmt.Sprintf("%s: %s as reported; another answer with %s.", where, base, strings.Join(other, "; "))
	}
	if len(lost) > 0 {
		s.Reading += " Too little was left to compare: " + strings.Join(lost, "; ") + "."
	}
}
