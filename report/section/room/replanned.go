package room

import (
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/document"
)

// What had to be planned again.
var _ = Furnish("replanned", Room{
	Exhibits: Exhibits{"table": replannedTable},
	Sheets:   func(m *Maker) []document.Sheet { return []document.Sheet{replannedSheet(m.Results.Replanned)} },
})

func replannedTable(m *Maker, e *results.Exhibit) document.Block {
	var s byStyle
	for _, p := range m.Results.Replanned {
		name := "All axes"
		if p.Axis != casebook.NoAxis {
			name = wording.Capital(p.Axis.String())
		}
		s.put(name, p.Style, noted(shareText(p.Again, p.Suppressed), p.Again.Warnings))
	}
	return s.table(e, casebook.Styles())
}

func replannedSheet(rows []results.Replanned) document.Sheet {
	return Sheet("planned again", rows, []Field[results.Replanned]{
		{"axis", 20, func(x results.Replanned) any { return Text(x.Axis.String()) }},
		{"style", 20, func(x results.Replanned) any { return wording.Style(x.Style) }},
		{"cases", 11, func(x results.Replanned) any { return blankIf(x.Suppressed, x.Cases) }},
		{"movements", 11, func(x results.Replanned) any { return blankIf(x.Suppressed, x.Movements) }},
		{"planned again", 11, func(x results.Replanned) any { return blankIf(x.Suppressed, x.Again.Numerator) }},
		{"share", 11, func(x results.Replanned) any { return blankIf(x.Suppressed, x.Again.Value) }},
		{"low", 11, func(x results.Replanned) any { return blankIf(x.Suppressed, x.Again.Low) }},
		{"high", 11, func(x results.Replanned) any { return blankIf(x.Suppressed, x.Again.High) }},
		{"suppressed", 11, func(x results.Replanned) any { return x.Suppressed }},
	})
}
