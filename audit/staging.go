package audit

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// compoundLoads finds the teeth with two or more large movements planned in one
// course, heaviest first. The load is the sum over axes of planned amount over
// tolerance, so that millimetres and degrees can be added.
func compoundLoads(p *prepared) []results.CompoundLoad {
	var out []results.CompoundLoad
	a, b := p.analysed, p.missing
	var rows []*row
	for len(a) > 0 || len(b) > 0 { // both come in key order: teeth are met one after the other
		first := a
		if len(a) == 0 || len(b) > 0 && compareTeeth(&b[0], &a[0]) < 0 {
			first = b
		}
		at := &first[0]
		rows = rows[:0]
		for _, list := range []*[]row{&a, &b} {
			for len(*list) > 0 && compareTeeth(&(*list)[0], at) == 0 {
				rows = append(rows, &(*list)[0])
				*list = (*list)[1:]
			}
		}
		if len(rows) < 2 {
			continue
		}
		l := results.CompoundLoad{Case: p.caseName(at.cluster), Course: at.mv.Course, Tooth: at.tooth}
		if fillLoad(&l, rows, &p.settings); l.Large >= 2 {
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
func compareTeeth(a, b *row) int {
	return cmp.Or(cmp.Compare(a.cluster, b.cluster), cmp.Compare(a.mv.Course, b.mv.Course), cmp.Compare(a.tooth, b.tooth))
}

func fillLoad(l *results.CompoundLoad, rows []*row, s *results.Settings) {
	slices.SortFunc(rows, func(a, b *row) int { return cmp.Compare(a.axis, b.axis) })
	for _, r := range rows {
		u := r.unit()
		if r.planned >= s.Questions.Large(u) {
			l.Large++
		}
		l.Load += results.Number(r.planned / s.Tolerance(u))
		l.Movements = append(l.Movements, fmt.Sprintf("%v %.1f%s", r.direction, r.planned, unitText(u)))
		if r.staging != casebook.NoStaging {
			l.Staging = r.staging.String()
		}
		switch {
		case math.IsNaN(r.achieved):
			l.Unmeasured++
		default:
			l.Residual += results.Number(math.Abs(r.shortfall()) / s.Tolerance(u))
			if r.outside(s) {
				l.Outside++
			}
		}
	}
}

// staging compares combined with sequenced movements within direction and
// course, adjusted like a style comparison and for the style itself.
func (p *prepared) staging() results.StagingAnswer {
	q := p.settings.Questions
	out := results.StagingAnswer{
		LargeMM: results.Number(q.LargeMM), LargeDeg: results.Number(q.LargeDeg),
		Definition: fmt.Sprintf("Large: at least %g mm or %g°. Compound load of a tooth in a course: sum over its axes of planned amount / tolerance (%g mm, %g°).",
			q.LargeMM, q.LargeDeg, p.settings.ToleranceMM, p.settings.ToleranceDeg),
	}
	for i := range p.analysed {
		out.NotRecorded += oneIf(p.analysed[i].staging == casebook.NoStaging)
	}
	g := &grouping{
		group: func(r *row) bool { return r.staging == casebook.Combined },
		names: [2]string{"combined", "sequenced"}, without: "staging",
		adjusters: func(rows []int32) []adjuster {
			return p.wordsOf(rows, "style", func(r *row) int { return int(r.style) })
		},
	}
	by, rows := p.cellsByDirection(func(r *row) bool { return r.staging != casebook.NoStaging })
	for i := range by {
		out.Comparisons = append(out.Comparisons, p.compareGroups(by[i], rows[i], g))
	}
	p.judgeGroups(out.Comparisons)
	loads := compoundLoads(p)
	cases := map[string]bool{}
	for i := range loads {
		cases[loads[i].Case] = true
	}
	out.Teeth, out.TeethCases = len(loads), len(cases)
	if s := &p.settings; s.Shared && out.TeethCases > 0 && out.TeethCases < s.MinCellCases {
		out.Teeth, out.TeethCases = 0, 0
		out.Definition += fmt.Sprintf(" Teeth with several large movements: fewer than %d cases, not counted here.", s.MinCellCases)
	}
	if !p.settings.Shared {
		out.Loads = loads
	}
	return out
}
