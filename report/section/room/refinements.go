package room

import (
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// How often a case was refined.
var _ = Furnish("refinements", Room{
	Sheets: func(m *Maker) []document.Sheet { return []document.Sheet{refinementSheet(m)} },
})

// rated is a bar of the refinement distribution with the style it belongs to.
type rated struct {
	group  string
	bar    results.Bar
	hidden bool
}

func refinementSheet(m *Maker) document.Sheet {
	rows := []rated{}
	add := func(group string, bars []results.Bar, hidden bool) {
		for _, bar := range bars {
			rows = append(rows, rated{group, bar, hidden || bar.Suppressed})
		}
	}
	add("all finished cases", m.Results.Refinements.Distribution, false)
	for _, s := range m.Results.Refinements.ByStyle {
		add(wording.Style(s.Style), s.Distribution, s.Suppressed)
	}
	return Sheet("refinements", rows, []Field[rated]{
		{"main style of the initial features", 30, func(x rated) any { return x.group }},
		{"refinements", 12, func(x rated) any { return x.bar.Label }},
		{"cases", 11, func(x rated) any { return blankIf(x.hidden, x.bar.Cases) }},
		{"share", 11, func(x rated) any { return blankIf(x.hidden, x.bar.Share.Value) }},
		{"low", 11, func(x rated) any { return blankIf(x.hidden, x.bar.Share.Low) }},
		{"high", 11, func(x rated) any { return blankIf(x.hidden, x.bar.Share.High) }},
		{"suppressed", 11, func(x rated) any { return x.hidden }},
	})
}
