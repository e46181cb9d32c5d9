package room

import (
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// What changed since an earlier audit.
var _ = Furnish("since", Room{
	Exhibits: Exhibits{"table": sinceTable, "verdicts": verdictTable},
	Sheets: func(m *Maker) []document.Sheet {
		var t *results.InTime
		if s := m.Results.Questions.Since; s != nil {
			t = s.Records
		}
		return []document.Sheet{timeSheet(m, "since earlier audit", t)}
	},
})

// sinceTable sets what is new against what the earlier audit had seen.
func sinceTable(m *Maker, e *results.Exhibit) document.Block {
	if m.Results.Questions.Since == nil {
		return nil
	}
	return timeTable(m, e, m.Results.Questions.Since.Records)
}

// verdictTable lists the comparisons whose verdict is another one now.
func verdictTable(m *Maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, v := range m.Results.Questions.Since.Verdicts {
		t.add(Words(wording.Capital(m.Names.Cell(v.By))), Words(string(v.Before)), Words(string(v.After)))
	}
	return orNil(t.Table)
}
