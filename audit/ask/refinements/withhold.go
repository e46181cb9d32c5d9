package refinements

import (
	"shortfall/audit/disclose"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// refinementCells are the numbers of the cells of one group of completed cases.
type refinementCells struct {
	bars             [len(barLabels)]int // -1 where no case is
	total, sum, some int
}

// withhold hides small bars. The mean is a sum over the bars too
// (with the unknown excess of "4+" as a part of its own), so it is checked
// against the same cells.
func withhold(p *rows.Set, r *results.Refinements) {
	groups := [3][]rows.FinishedCase{}
	for _, c := range p.FinishedCases() {
		k := 0
		switch c.Main {
		case casebook.SoftwareSuggested:
			k = 1
		case casebook.ClinicianDesigned:
			k = 2
		}
		groups[k] = append(groups[k], c)
	}
	t := &disclose.Tables{}
	all := addRefinements(t, groups[0], groups[1], groups[2])
	software := addRefinements(t, nil, groups[1], nil)
	clinician := addRefinements(t, nil, nil, groups[2])
	// Cases without a main style are printed nowhere, but are what all less the
	// two styles leaves.
	from := len(t.Mute)
	if len(groups[0]) > 0 {
		addRefinements(t, groups[0])
	}
	for i := from; i < len(t.Mute); i++ {
		t.Mute[i] = true
	}
	hide := t.Hidden(p.Settings.MinCellCases)
	hideBars(r.Distribution, all, hide)
	if hide[all.sum] {
		r.Mean = measure.NoSpread()
	}
	if hide[all.some] {
		r.AtLeastOne = measure.NoShare()
	}
	for i, cells := range []refinementCells{software, clinician} {
		s := &r.ByStyle[i]
		hideBars(s.Distribution, cells, hide)
		if hide[cells.total] || hide[cells.sum] {
			*s = results.RefinementRate{
				Style: s.Style, Rate: measure.NoSpread(), Distribution: []results.Bar{}, Suppressed: true,
				Warnings: []results.Warning{disclose.TooFewShown(&p.Settings)},
			}
			r.RateRatio, r.RateUnadj = measure.NoDifference(), measure.NoDifference()
		}
	}
}

// addRefinements adds the cells of up to three groups taken together. Part
// 6g+k is bar k of group g, part 6g+5 the excess over 4 of its last bar.
func addRefinements(t *disclose.Tables, groups ...[]rows.FinishedCase) (c refinementCells) {
	var parts [len(barLabels)][]int32
	var n [len(barLabels)]int
	var total, some, sum []int32
	cases := 0
	for g, group := range groups {
		var own [len(barLabels)]int
		for _, f := range group {
			own[min(f.Refinements, len(own)-1)]++
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
			c.bars[k] = t.Add(n[k], parts[k]...)
		}
	}
	c.total, c.some, c.sum = t.Add(cases, total...), t.Add(cases, some...), t.Add(cases, sum...)
	line := []int{c.total}
	for _, at := range c.bars {
		if at >= 0 {
			line = append(line, at)
		}
	}
	t.Lines = append(t.Lines, line)
	return c
}

func hideBars(bars []results.Bar, cells refinementCells, hide []bool) {
	for k := range bars {
		if at := cells.bars[k]; at >= 0 && hide[at] {
			bars[k] = results.Bar{Label: bars[k].Label, Share: measure.NoShare(), Suppressed: true}
		}
	}
}
