package section

import (
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// What changed since an earlier audit.
var _ = furnish("since", room{
	exhibits: exhibits{"table": sinceTable, "verdicts": verdictTable},
	sheets: func(m *maker) []document.Sheet {
		var t *results.InTime
		if s := m.r.Questions.Since; s != nil {
			t = s.Records
		}
		return []document.Sheet{timeSheet("since earlier audit", t)}
	},
})

// sinceTable sets what is new against what the earlier audit had seen.
func sinceTable(m *maker, e *results.Exhibit) document.Block {
	if m.r.Questions.Since == nil {
		return nil
	}
	return timeTable(e, m.r.Questions.Since.Records)
}

// verdictTable lists the comparisons whose verdict is another one now.
func verdictTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, v := range m.r.Questions.Since.Verdicts {
		t.add(words(wording.Cell(v.By, m.set.Notation)), words(string(v.Before)), words(string(v.After)))
	}
	return orNil(t.Table)
}
