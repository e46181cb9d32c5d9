package section

import (
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// The share outside tolerance if what is missing went best or worst.
var _ = furnish("bounds", room{
	exhibits: exhibits{"table": boundTable},
	facts:    boundFacts,
})

func boundTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, b := range m.r.Bounds {
		name, course := words(wording.Capital(wording.Movement(b.By))), words(wording.Course(b.By.Course))
		if b.Suppressed {
			t.fill(name, course, words(tooFew))
			continue
		}
		t.add(name, course, words(pair(b.Cases, b.Movements)), words(wording.Count(b.Missing)), words(wording.Percent(b.Worst)), words(wording.Percent(b.Observed)), words(wording.Percent(b.Best)))
	}
	return orNil(t.Table)
}

func boundFacts(m *maker) (out []fact) {
	for _, x := range m.r.Bounds {
		t := "worst and best case: " + wording.Movement(x.By) + ", " + wording.Course(x.By.Course)
		out = append(out, fact{t, "missing outcomes", blankIf(x.Suppressed, x.Missing)}, fact{t, "worst", blankIf(x.Suppressed, x.Worst)}, fact{t, "observed", blankIf(x.Suppressed, x.Observed)}, fact{t, "best", blankIf(x.Suppressed, x.Best)})
	}
	return out
}
