package room

import (
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// What moved where little was planned.
var _ = Furnish("unplanned", Room{
	Exhibits: Exhibits{"table": unplannedTable},
	Facts:    unplannedFacts,
})

func unplannedTable(m *Maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, u := range m.Results.Unplanned {
		name := Words(wording.Capital(u.Axis.String()))
		if u.Suppressed {
			t.fill(name, Words(tooFew))
			continue
		}
		t.add(name, Words(pair(u.Cases, u.Movements)), Words(wording.Amount(u.MeanAbs, u.Unit)), noted(shareText(u.Outside, false), u.Outside.Warnings))
	}
	return orNil(t.Table)
}

func unplannedFacts(m *Maker) (out []Fact) {
	for _, u := range m.Results.Unplanned {
		t, axis := "little planned, "+u.Unit.String(), u.Axis.String()
		out = append(out, Fact{t, axis + ": movements", blankIf(u.Suppressed, u.Movements)}, Fact{t, axis + ": mean amount moved", blankIf(u.Suppressed, u.MeanAbs)}, Fact{t, axis + ": share outside tolerance", blankIf(u.Suppressed, u.Outside.Value)})
	}
	return out
}
