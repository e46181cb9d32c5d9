package section

import (
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// What moved where little was planned.
var _ = furnish("unplanned", room{
	exhibits: exhibits{"table": unplannedTable},
	facts:    unplannedFacts,
})

func unplannedTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, u := range m.r.Unplanned {
		name := words(wording.Capital(u.Axis.String()))
		if u.Suppressed {
			t.fill(name, words(tooFew))
			continue
		}
		t.add(name, words(pair(u.Cases, u.Movements)), words(wording.Amount(u.MeanAbs, u.Unit)), noted(shareText(u.Outside, false), u.Outside.Warnings))
	}
	return orNil(t.Table)
}

func unplannedFacts(m *maker) (out []fact) {
	for _, u := range m.r.Unplanned {
		t, axis := "little planned, "+u.Unit.String(), u.Axis.String()
		out = append(out, fact{t, axis + ": movements", blankIf(u.Suppressed, u.Movements)}, fact{t, axis + ": mean amount moved", blankIf(u.Suppressed, u.MeanAbs)}, fact{t, axis + ": share outside tolerance", blankIf(u.Suppressed, u.Outside.Value)})
	}
	return out
}
