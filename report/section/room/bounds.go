package room

import (
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// The share outside tolerance if what is missing went best or worst.
var _ = Furnish("bounds", Room{
	Exhibits: Exhibits{"table": boundTable},
	Facts:    boundFacts,
})

func boundTable(m *Maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, b := range m.Results.Bounds {
		name, course := Words(wording.Capital(m.Names.Movement(b.By))), Words(wording.Course(b.By.Course))
		if b.Suppressed {
			t.fill(name, course, Words(tooFew))
			continue
		}
		t.add(name, course, Words(pair(b.Cases, b.Movements)), Words(wording.Count(b.Missing)), Words(wording.Percent(b.Worst)), Words(wording.Percent(b.Observed)), Words(wording.Percent(b.Best)))
	}
	return orNil(t.Table)
}

func boundFacts(m *Maker) (out []Fact) {
	for _, x := range m.Results.Bounds {
		t := "worst and best case: " + m.Names.Movement(x.By) + ", " + wording.Course(x.By.Course)
		out = append(out, Fact{t, "missing outcomes", blankIf(x.Suppressed, x.Missing)}, Fact{t, "worst", blankIf(x.Suppressed, x.Worst)}, Fact{t, "observed", blankIf(x.Suppressed, x.Observed)}, Fact{t, "best", blankIf(x.Suppressed, x.Best)})
	}
	return out
}
