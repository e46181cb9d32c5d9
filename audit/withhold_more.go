package audit

import (
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// add appends a cell to a set of tables and gives its number.
func (t *tables) add(cases int, parts ...int32) int {
	t.cases, t.mute, t.parts = append(t.cases, cases), append(t.mute, false), append(t.parts, parts)
	return len(t.cases) - 1
}

// withholdComparisons hides what would tell the expression of a withheld arm.
// The values behind the balance table are shares of small groups, so only
// their standardised differences leave the practice.
func (p *prepared) withholdComparisons(r *results.Results) {
	shown := shownCells(r.Expression)
	for i := range r.Comparisons {
		c := &r.Comparisons[i]
		hide := false
		for _, a := range c.Arms {
			by := c.By
			by.Style = a.Style
			hide = hide || !shown[by]
		}
		if !hide {
			for k := range c.Balance {
				c.Balance[k].Software, c.Balance[k].Clinician = results.NotEstimable, results.NotEstimable
			}
			continue
		}
		n := results.NotEstimable
		for k, a := range c.Arms {
			c.Arms[k] = results.Arm{Style: a.Style, MeanPlanned: n, SDPlanned: n, Expression: n, AdjustedRatio: n}
		}
		c.Unadjusted, c.Adjusted, c.Balance, c.Reading = noDifference(), noDifference(), nil, ""
		c.Overlap = results.Overlap{ShareInside: n, Enough: c.Overlap.Enough}
		c.EValue, c.Detectable, c.MoreCases = results.EValue{Estimate: n, Limit: n}, n, n
		c.Equivalence = results.Equivalence{}
		// The word alone would tell the sign of a difference that is withheld.
		c.Verdict, c.BelowDetectable, c.FitStatus = results.NotComparable, false, ""
		c.Warnings = []results.Warning{tooFewShown(&p.settings)}
	}
}

// refinementCells are the numbers of the cells of one group of completed cases.
type refinementCells struct {
	bars             [len(barLabels)]int // -1 where no case is
	total, sum, some int
}

// withholdRefinements hides small bars. The mean is a sum over the bars too
// (with the unknown excess of "4+" as a part of its own), so it is checked
// against the same cells.
func (p *prepared) withholdRefinements(r *results.Refinements) {
	groups := [3][]finishedCase{}
	for _, c := range p.finishedCases() {
		k := 0
		switch c.main {
		case casebook.SoftwareSuggested:
			k = 1
		case casebook.ClinicianDesigned:
			k = 2
		}
		groups[k] = append(groups[k], c)
	}
	t := &tables{}
	all := t.addRefinements(groups[0], groups[1], groups[2])
	software := t.addRefinements(nil, groups[1], nil)
	clinician := t.addRefinements(nil, nil, groups[2])
	// Cases without a main style are printed nowhere, but are what all less the
	// two styles leaves.
	from := len(t.mute)
	if len(groups[0]) > 0 {
		t.addRefinements(groups[0])
	}
	for i := from; i < len(t.mute); i++ {
		t.mute[i] = true
	}
	hide := t.hidden(p.settings.MinCellCases)
	hideBars(r.Distribution, all, hide)
	if hide[all.sum] {
		r.Mean = noSpread()
	}
	if hide[all.some] {
		r.AtLeastOne = noShare()
	}
	for i, cells := range []refinementCells{software, clinician} {
		s := &r.ByStyle[i]
		hideBars(s.Distribution, cells, hide)
		if hide[cells.total] || hide[cells.sum] {
			*s = results.RefinementRate{
				Style: s.Style, Rate: noSpread(), Distribution: []results.Bar{}, Suppressed: true,
				Warnings: []results.Warning{tooFewShown(&p.settings)},
			}
			r.RateRatio, r.RateUnadj = noDifference(), noDifference()
		}
	}
}

// addRefinements adds the cells of up to three groups taken together. Part
// 6g+k is bar k of group g, part 6g+5 the excess over 4 of its last bar.
func (t *tables) addRefinements(groups ...[]finishedCase) (c refinementCells) {
	var parts [len(barLabels)][]int32
	var n [len(barLabels)]int
	var total, some, sum []int32
	cases := 0
	for g, group := range groups {
		var own [len(barLabels)]int
		for _, f := range group {
			own[min(f.refinements, len(own)-1)]++
		}
		for k, m := range own {
			if m == 0 {
				continue
			}
			id := int32(6*g + k)
			n[k], parts[k], total = n[k]+m, append(parts[k], id), append(total, id)
			if k > 0 {
				some = append(some, id)
			}
			for range k {
				sum = append(sum, id)
			}
			if k == len(own)-1 {
				sum = append(sum, int32(6*g+5))
			}
		}
		cases += len(group)
	}
	for k := range c.bars {
		c.bars[k] = -1
		if n[k] > 0 {
			c.bars[k] = t.add(n[k], parts[k]...)
		}
	}
	c.total, c.some, c.sum = t.add(cases, total...), t.add(cases, some...), t.add(cases, sum...)
	line := []int{c.total}
	for _, at := range c.bars {
		if at >= 0 {
			line = append(line, at)
		}
	}
	t.lines = append(t.lines, line)
	return c
}

func hideBars(bars []results.Bar, cells refinementCells, hide []bool) {
	for k := range bars {
		if at := cells.bars[k]; at >= 0 && hide[at] {
			bars[k] = results.Bar{Label: bars[k].Label, Share: noShare(), Suppressed: true}
		}
	}
}

// withholdReplanned hides small cells of axis x style and its margin over axes.
func (p *prepared) withholdReplanned(rs []results.Replanned) {
	hide := hiddenWithMargin(len(rs), p.settings.MinCellCases, func(i int) (group, part, cases int) {
		return int(rs[i].Style), int(rs[i].Axis), rs[i].Cases
	})
	for i := range rs {
		if hide[i] {
			rs[i] = results.Replanned{Axis: rs[i].Axis, Style: rs[i].Style, Again: noShare(), Suppressed: true}
		}
	}
}

// withholdLossTable hides small cells of style x class and its margin over classes.
func (p *prepared) withholdLossTable(ls []results.Loss) {
	hide := hiddenWithMargin(len(ls), p.settings.MinCellCases, func(i int) (group, part, cases int) {
		return int(ls[i].Style), int(ls[i].ToothClass), ls[i].Cases
	})
	for i := range ls {
		if hide[i] {
			ls[i] = results.Loss{Style: ls[i].Style, ToothClass: ls[i].ToothClass, Lost: noShare(), Suppressed: true}
		}
	}
}

// hiddenWithMargin is for tables of groups, each with a margin (part 0) over
// its parts.
func hiddenWithMargin(n, least int, cell func(i int) (group, part, cases int)) []bool {
	t := &tables{}
	parts, line := map[int][]int32{}, map[int][]int{}
	for i := range n {
		if group, part, _ := cell(i); part > 0 {
			parts[group] = append(parts[group], int32(16*group+part))
			line[group] = append(line[group], i)
		}
	}
	for i := range n {
		group, part, cases := cell(i)
		if part > 0 {
			t.add(cases, int32(16*group+part))
			continue
		}
		t.add(cases, parts[group]...)
		t.lines = append(t.lines, append([]int{i}, line[group]...))
	}
	return t.hidden(least)
}
