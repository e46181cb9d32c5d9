package section

import (
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// Attachments turned as the movement asks against the rest.
var _ = furnish("orientation", room{
	exhibits: exhibits{"table": orientationTable, "against": againstTable},
	offPaper: []string{"against"},
	sheets: func(m *maker) []document.Sheet {
		return []document.Sheet{groupSheet("orientation", m.r.Questions.Fit.Comparisons)}
	},
})

func orientationTable(m *maker, e *results.Exhibit) document.Block {
	return m.groups(e, m.r.Questions.Fit.Comparisons)
}

func againstTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range chosen(e, m.r.Questions.Fit.Against) {
		n := pair(x.Cases, x.Movements)
		if x.Suppressed {
			n = tooFew
		}
		t.add(words(wording.Capital(x.Axis.String())), words(x.Recorded.String()), words(wording.Style(x.Style)), words(n))
	}
	return orNil(t.Table)
}
