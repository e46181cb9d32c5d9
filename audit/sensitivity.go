package audit

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
	"shortfall/ingest/casebook"
)

// variant is one other choice a comparison is repeated under.
type variant struct {
	id, choice string
	p          *prepared
	lists      *featuredLists
	keep       func(*row) bool // nil: all
	sameModel  bool            // the choice leaves the rows and the model as they are
}

// sensitivity repeats the comparisons that matter most under other choices:
// the primary and every direction over all teeth with a verdict, then finer
// cells with one, then the directions left.
func (p *prepared) sensitivity(ctx context.Context, cs []results.Comparison) ([]results.Sensitivity, error) {
	chosen := sensitiveCells(cs, p.settings.Questions.SensitivityTables)
	if len(chosen) == 0 {
		return nil, nil
	}
	variants, err := p.variants()
	if err != nil {
		return nil, err
	}
	own := p.featuredLists()
	for i := range variants {
		v := &variants[i]
		if v.lists = own; v.p != p {
			v.lists = v.p.featuredLists()
		}
	}
	out := make([]results.Sensitivity, 0, len(chosen))
	for _, c := range chosen {
		s := results.Sensitivity{By: c.By, Rows: make([]results.SensitivityRow, 1+len(variants))}
		s.Rows[0] = p.asReported(c, own.rows(p, c.By))
		err := inParallel(ctx, len(variants), func() func(int) {
			return func(i int) { s.Rows[1+i] = variants[i].row(c) }
		})
		if err != nil {
			return nil, err
		}
		readSensitivity(&s, p)
		if p.settings.Shared { // counts by difference would show who was left out
			for i := range s.Rows {
				s.Rows[i].Cases, s.Rows[i].Movements = 0, 0
			}
		}
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
	take(len(cs), func(c *results.Comparison) bool { return told(c) && wholeDirection(c.By) })
	take(limit, told)
	take(limit, func(c *results.Comparison) bool { return wholeDirection(c.By) && c.By.Course == results.Initial })
	return out
}

// variants lists the other choices. Each has its own prepared dataset where
// the choice decides what is analysed.
func (p *prepared) variants() ([]variant, error) {
	var out []variant
	for _, by := range []struct {
		factor   float64
		id, word string
	}{{0.5, "halved", "halved"}, {2, "doubled", "doubled"}} {
		s := p.settings
		s.ToleranceMM, s.ToleranceDeg = s.ToleranceMM*by.factor, s.ToleranceDeg*by.factor
		q := *p
		q.settings = s
		out = append(out, variant{
			id: "tolerance-" + by.id, p: &q, sameModel: true,
			choice: fmt.Sprintf("tolerance %s (%g mm, %g°)", by.word, s.ToleranceMM, s.ToleranceDeg),
		})
	}
	for _, by := range []struct {
		factor   float64
		id, word string
	}{{0.5, "halved", "halved"}, {2, "doubled", "doubled"}} {
		s := p.settings
		s.SmallestMM, s.SmallestDeg = s.SmallestMM*by.factor, s.SmallestDeg*by.factor
		q, err := prepare(p.ds, s)
		if err != nil {
			return nil, err
		}
		out = append(out, variant{
			id: "smallest-plan-" + by.id, p: q,
			choice: fmt.Sprintf("smallest plan %s (%g mm, %g°)", by.word, s.SmallestMM, s.SmallestDeg),
		})
	}
	out = append(
		out,
		variant{id: "completed-cases", choice: "completed cases only", p: p, keep: func(r *row) bool { return p.log(r).Status == casebook.Completed }},
		variant{id: "all-recorded", choice: "movements with every covariate recorded", p: p, keep: p.allRecorded},
		variant{id: "missing-against-clinician", choice: "missing outcomes: clinician-designed nothing expressed, software-suggested all", p: p.imputed(casebook.SoftwareSuggested)},
		variant{id: "missing-for-clinician", choice: "missing outcomes: clinician-designed all expressed, software-suggested nothing", p: p.imputed(casebook.ClinicianDesigned)},
	)
	if !p.settings.Shared {
		for code, name := range p.clinicians {
			out = append(out, variant{
				id: "without-clinician", choice: "without clinician " + name, p: p,
				keep: func(r *row) bool { return p.clinician(r) != code+1 },
			})
		}
	}
	return out, nil
}

// allRecorded reports a row that lacks none of the covariates of the model.
func (p *prepared) allRecorded(r *row) bool {
	c := p.log(r)
	return c.Wear != casebook.NoWear && c.AgeBand != casebook.NoAgeBand && c.ChangeDays.OK && c.Clinician != "" && r.staging != casebook.NoStaging
}

// imputed adds the movements without an outcome: all expressed under the
// favoured style, nothing under the other. Those of patients who left are
// among them.
func (p *prepared) imputed(favoured casebook.Style) *prepared {
	q := *p
	q.analysed = make([]row, 0, len(p.analysed)+len(p.missing))
	i := 0
	for _, m := range p.missing {
		for i < len(p.analysed) && compareMovements(p.analysed[i].mv, m.mv) < 0 {
			q.analysed = append(q.analysed, p.analysed[i])
			i++
		}
		m.achieved = 0
		if m.style == favoured {
			m.achieved = m.planned
		}
		q.analysed = append(q.analysed, m)
	}
	q.analysed = append(q.analysed, p.analysed[i:]...)
	return &q
}

// row repeats a comparison: the model and what a verdict needs, nothing of the
// rest of a comparison's tables.
func (v *variant) row(reported *results.Comparison) results.SensitivityRow {
	rows := v.lists.rows(v.p, reported.By)
	if v.keep != nil {
		rows = slices.DeleteFunc(rows, func(i int32) bool { return !v.keep(&v.p.analysed[i]) })
	}
	out := results.SensitivityRow{
		ID: v.id, Choice: v.choice, Adjusted: noDifference(), Verdict: results.NotComparable,
		Cases: v.p.casesIn(rows), Movements: len(rows), Outside: v.p.outsideDifference(rows),
	}
	if v.sameModel {
		out.Adjusted = reported.Adjusted
		out.Adjusted.PAdjusted = results.NotEstimable
		out.Verdict = plainVerdict(out.Adjusted)
		return out
	}
	if cases := v.p.armCases(rows); min(cases[0], cases[1]) < v.p.settings.MinIntervalCases {
		return out
	}
	treated := func(r *row) bool { return r.style == casebook.ClinicianDesigned }
	fit := v.p.fitGroups(rows, &grouping{group: treated})
	if out.Adjusted = fit.adjusted; fit.failed != nil || !v.p.overlap(rows, treated).Enough {
		out.Adjusted.P = results.NotEstimable
		return out
	}
	out.Verdict = plainVerdict(out.Adjusted)
	return out
}

// armCases counts the cases with software-suggested and clinician-designed rows.
func (p *prepared) armCases(rows []int32) (n [2]int) {
	last := [2]int{-1, -1}
	for _, i := range rows {
		r := &p.analysed[i]
		if arm := oneIf(r.style == casebook.ClinicianDesigned); last[arm] != r.cluster {
			n[arm], last[arm] = n[arm]+1, r.cluster
		}
	}
	return n
}

func (p *prepared) casesIn(rows []int32) int {
	n, last := 0, -1
	for _, i := range rows {
		if c := p.analysed[i].cluster; c != last {
			n, last = n+1, c
		}
	}
	return n
}

// asReported is the first line: the comparison as the grid gave it, its
// verdict by its own interval like the other lines.
func (p *prepared) asReported(c *results.Comparison, rows []int32) results.SensitivityRow {
	return results.SensitivityRow{
		ID: "as-reported", Choice: "as reported", Adjusted: c.Adjusted, Verdict: plainVerdict(c.Adjusted),
		Cases: p.casesIn(rows), Movements: len(rows), Outside: p.outsideDifference(rows),
	}
}

// outsideDifference is the difference in the share outside tolerance, not
// adjusted (CR2 by case).
func (p *prepared) outsideDifference(rows []int32) results.Difference {
	if cases := p.armCases(rows); min(cases[0], cases[1]) < p.settings.MinIntervalCases {
		return noDifference()
	}
	n := len(rows)
	m := stats.LinearModel{
		Names: []string{"intercept", "style"}, X: make([]float64, 0, 2*n), Y: make([]float64, 0, n), Cluster: make([]int, 0, n),
	}
	for _, i := range rows {
		r := &p.analysed[i]
		m.X = append(m.X, 1, float64(oneIf(r.style == casebook.ClinicianDesigned)))
		m.Y, m.Cluster = append(m.Y, float64(oneIf(r.outside(&p.settings)))), append(m.Cluster, r.cluster)
	}
	fit, err := robust.FitLinear(m, stats.CR2)
	if err != nil {
		return noDifference()
	}
	return difference(fit.Contrast([]float64{0, 1}, p.settings.Level))
}

// readSensitivity says which choices would have changed the answer.
func readSensitivity(s *results.Sensitivity, p *prepared) {
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
	where := cellName(s.By, p.settings.Notation)
	s.Reading = fmt.Sprintf("%s: %s under every choice tried.", where, base)
	if len(other) > 0 {
		s.Reading = fmt.Sprintf("%s: %s as reported; another answer with %s.", where, base, strings.Join(other, "; "))
	}
	if len(lost) > 0 {
		s.Reading += " Too little was left to compare: " + strings.Join(lost, "; ") + "."
	}
}
