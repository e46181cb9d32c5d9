package room

import (
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// How often a case was refined.
var _ = Furnish("refinements", Room{
	Exhibits: Exhibits{"table": refinementTable},
	Sheets:   func(m *Maker) []document.Sheet { return []document.Sheet{refinementSheet(m)} },
})

func refinementTable(m *Maker, e *results.Exhibit) document.Block {
	t, f := rowsOf{Table: table(e)}, m.Results.Refinements
	row := func(name string, cases int, rate results.Spread, bars []results.Bar, ws []results.Warning) {
		cells := []document.Cell{noted(name, ws), Words(wording.Count(cases)), Words(rateText(rate))}
		for _, b := range bars {
			cells = append(cells, Words(shareText(b.Share, b.Suppressed)))
		}
		t.add(cells...)
	}
	row("All", f.Cases, f.Mean, f.Distribution, f.Warnings)
	for _, x := range f.ByStyle {
		if x.Cases == 0 && !x.Suppressed {
			continue // no case has it as its main style
		}
		if x.Suppressed {
			t.fill(Words(wording.Capital(wording.Style(x.Style))), noted(tooFew, x.Warnings))
			continue
		}
		row(wording.Capital(wording.Style(x.Style)), x.Cases, x.Rate, x.Distribution, x.Warnings)
	}
	return orNil(t.Table)
}

// rateText is a mean number a case with its interval.
func rateText(rate results.Spread) string {
	text := wording.Fixed(rate.Value, 1)
	if rate.Low.OK() && rate.High.OK() {
		text += " (" + wording.Fixed(rate.Low, 1) + " to " + wording.Fixed(rate.High, 1) + ")"
	}
	return text
}

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
		{"main style of the first attachments", 30, func(x rated) any { return x.group }},
		{"refinements", 12, func(x rated) any { return x.bar.Label }},
		{"cases", 11, func(x rated) any { return blankIf(x.hidden, x.bar.Cases) }},
		{"share", 11, func(x rated) any { return blankIf(x.hidden, x.bar.Share.Value) }},
		{"low", 11, func(x rated) any { return blankIf(x.hidden, x.bar.Share.Low) }},
		{"high", 11, func(x rated) any { return blankIf(x.hidden, x.bar.Share.High) }},
		{"suppressed", 11, func(x rated) any { return x.hidden }},
	})
}
