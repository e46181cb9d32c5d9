package room

import (
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// Attachments turned as the movement asks against the rest.
var _ = Furnish("orientation", Room{
	Exhibits: Exhibits{"table": orientationTable, "against": againstTable},
	OffPaper: []string{"against"},
	Sheets: func(m *Maker) []document.Sheet {
		return []document.Sheet{groupSheet(m, "orientation", m.Results.Questions.Fit.Comparisons)}
	},
})

func orientationTable(m *Maker, e *results.Exhibit) document.Block {
	return m.groups(e, m.Results.Questions.Fit.Comparisons)
}

func againstTable(m *Maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range chosen(e, m.Results.Questions.Fit.Against) {
		n := pair(x.Cases, x.Movements)
		if x.Suppressed {
			n = tooFew
		}
		t.add(Words(wording.Capital(x.Axis.String())), Words(x.Recorded.String()), Words(wording.Style(x.Style)), Words(n))
	}
	return orNil(t.Table)
}
