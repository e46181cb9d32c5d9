// Package staging asks whether movements planned together did worse than movements
// planned one after another, and which teeth carried most.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills
// its part of results.Results.
package staging

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"shortfall/audit/between"
	"shortfall/audit/disclose"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// CompoundLoads finds the teeth with two or more large movements planned in one
// course, heaviest first. The load is the sum over axes of planned amount over
// tolerance, so that millimetres and degrees can be added.
func CompoundLoads(p *rows.Set) []results.CompoundLoad {
	var out []results.CompoundLoad
	a, b := p.Analysed, p.Missing
	var which []*rows.Row
	for len(a) > 0 || len(b) > 0 { // both come in key order: teeth are met one after the other
		first := a
		if len(a) == 0 || len(b) > 0 && compareTeeth(&b[0], &a[0]) < 0 {
			first = b
		}
		at := &first[0]
		which = which[:0]
		for _, list := range []*[]rows.Row{&a, &b} {
			for len(*list) > 0 && compareTeeth(&(*list)[0], at) == 0 {
				which = append(which, &(*list)[0])
				*list = (*list)[1:]
			}
		}
		if len(which) < 2 {
			continue
		}
		l := results.CompoundLoad{Case: p.CaseName(at.Cluster), Course: at.Movement.Course, Tooth: at.Tooth}
		if fillLoad(&l, which, &p.Settings); l.Large >= 2 {
			out = append(out, l)
		}
	}
	slices.SortFunc(out, func(a, b results.CompoundLoad) int {
		return cmp.Or(-cmp.Compare(a.Load, b.Load), cmp.Compare(a.Case, b.Case),
			cmp.Compare(a.Course, b.Course), cmp.Compare(a.Tooth, b.Tooth))
	})
	return out
}

// compareTeeth orders rows by case, course and tooth.
func compareTeeth(a, b *rows.Row) int {
	return cmp.Or(cmp.Compare(a.Cluster, b.Cluster), cmp.Compare(a.Movement.Course, b.Movement.Course), cmp.Compare(a.Tooth, b.Tooth))
}

func fillLoad(l *results.CompoundLoad, which []*rows.Row, s *results.Settings) {
	slices.SortFunc(which, func(a, b *rows.Row) int { return cmp.Compare(a.Axis, b.Axis) })
	for _, r := range which {
		u := r.Unit()
		if r.Planned >= s.Questions.Large(u) {
			l.Large++
		}
		l.Load += results.Number(r.Planned / s.Tolerance(u))
		l.Movements = append(l.Movements, fmt.Sprintf("%s %s%s", r.Way(), wording.Fixed(results.Number(r.Planned), 1), wording.UnitText(u)))
		if r.Staging != casebook.NoStaging {
			l.Staging = r.Staging.String()
		}
		switch {
		case math.IsNaN(r.Achieved):
			l.Unmeasured++
		default:
			l.Residual += results.Number(math.Abs(r.Shortfall()) / s.Tolerance(u))
			if r.Outside(s) {
				l.Outside++
			}
		}
	}
}

// Answer compares combined with sequenced movements within direction and
// course, adjusted like a style comparison and for the style itself.
func Answer(ctx context.Context, p *rows.Set) results.StagingAnswer {
	q := p.Settings.Questions
	out := results.StagingAnswer{
		LargeMM: results.Number(q.LargeMM), LargeDeg: results.Number(q.LargeDeg),
		Definition: fmt.Sprintf("Large: at least %g mm or %g°. Compound load of a tooth in a course: sum over its axes of planned amount / tolerance (%g mm, %g°).",
			q.LargeMM, q.LargeDeg, p.Settings.ToleranceMM, p.Settings.ToleranceDeg),
	}
	for i := range p.Analysed {
		out.NotRecorded += measure.OneIf(p.Analysed[i].Staging == casebook.NoStaging)
	}
	g := &between.Grouping{
		Group: func(r *rows.Row) bool { return r.Staging == casebook.Combined },
		Names: [2]string{"combined", "sequenced"}, Without: "staging",
		Also:   []between.Covariate{between.StyleCovariate()},
		Admits: func(r *rows.Row) bool { return r.Staging != casebook.NoStaging },
	}
	var f between.Family
	by, rows := between.CellsByDirection(p, func(r *rows.Row) bool { return r.Staging != casebook.NoStaging })
	for i := range by {
		f.Ask(by[i], rows[i], g)
	}
	out.Comparisons = f.Judge(ctx, p)
	loads := CompoundLoads(p)
	cases := map[string]bool{}
	for i := range loads {
		cases[loads[i].Case] = true
	}
	out.Teeth, out.TeethCases = len(loads), len(cases)
	out.Loads = loads
	return out
}

// Withhold takes the list of single teeth out, their number where few cases have
// them, and small comparisons.
func Withhold(p *rows.Set, a *results.StagingAnswer) {
	s := &p.Settings
	between.WithholdGroups(s, a.Comparisons)
	a.Loads = nil
	if disclose.Small(s, a.TeethCases) {
		a.Teeth, a.TeethCases = 0, 0
		a.Definition += fmt.Sprintf(" Teeth with several large movements: fewer than %d cases, not counted here.", s.MinCellCases)
	}
}
