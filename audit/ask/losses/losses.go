// Package losses asks which attachments were lost, as a share and by the month worn.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills
// its part of results.Results.
package losses

import (
	"shortfall/audit/disclose"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// answer counts features lost, by style and tooth class. A feature is one
// tooth in one course, however many axes its tooth moved along; every course
// counts. Features whose fate is not recorded are left out.
func answer(p *rows.Set) []results.Loss {
	type group struct {
		lost    []bool
		cluster []int
	}
	var groups [casebook.StyleCount + 1][casebook.ToothClassCount + 1]group // style, class (0: all)
	for i := 0; i < len(p.Order); {
		from := i
		known, lost, style := false, false, casebook.NoStyle
		for ; i < len(p.Order) && rows.SameTooth(p.Order[from], p.Order[i]); i++ {
			style = max(style, p.Order[i].Style)
			known = known || p.Order[i].Lost.OK
			lost = lost || p.Order[i].Lost.OK && p.Order[i].Lost.Value
		}
		m := p.Order[from]
		if !p.CourseInPeriod(p.ClusterOf[from], m.Course) || !known || style < casebook.SoftwareSuggested {
			continue
		}
		for _, class := range [2]casebook.ToothClass{casebook.NoClass, m.Tooth.Class()} {
			g := &groups[style][class]
			g.lost, g.cluster = append(g.lost, lost), append(g.cluster, p.ClusterOf[from])
		}
	}
	var out []results.Loss
	for _, style := range casebook.Styles() {
		for class := range groups[style] {
			if g := &groups[style][class]; len(g.lost) > 0 {
				out = append(out, results.Loss{
					Style: style, ToothClass: casebook.ToothClass(class), Cases: measure.CountRuns(g.cluster), Features: len(g.lost),
					Lost: measure.ClusteredShare(g.lost, g.cluster, &p.Settings),
				})
			}
		}
	}
	return out
}

// withhold hides small cells of style x class and its margin over classes.
func withhold(p *rows.Set, ls []results.Loss) {
	hide := disclose.HiddenWithMargin(len(ls), p.Settings.MinCellCases, func(i int) (group, part, cases int) {
		return int(ls[i].Style), int(ls[i].ToothClass), disclose.CasesTold(ls[i].Cases, ls[i].Lost.Numerator, ls[i].Lost.Denominator)
	})
	for i := range ls {
		if hide[i] {
			ls[i] = results.Loss{Style: ls[i].Style, ToothClass: ls[i].ToothClass, Lost: measure.NoShare(), Suppressed: true}
		}
	}
}
