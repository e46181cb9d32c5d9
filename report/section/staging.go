package section

import (
	"fmt"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// Movements staged together against one after another.
var _ = furnish("staging", room{
	exhibits: exhibits{"table": stagingTable, "loads": loadTable},
	offPaper: []string{"loads"},
	sheets: func(m *maker) []document.Sheet {
		q := &m.r.Questions.Staging
		return []document.Sheet{groupSheet("staging", q.Comparisons), loadSheet(q.Loads)}
	},
})

func stagingTable(m *maker, e *results.Exhibit) document.Block {
	return m.groups(e, m.r.Questions.Staging.Comparisons)
}

func loadTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range chosen(e, m.r.Questions.Staging.Loads) {
		t.add(words(x.Case), words(fmt.Sprint(x.Course)), words(x.Tooth.In(m.set.Notation)), words(strings.Join(x.Movements, ", ")), words(x.Staging), words(wording.Fixed(x.Load, 1)), words(wording.Fixed(x.Residual, 1)), words(fmt.Sprint(x.Outside)))
	}
	return orNil(t.Table)
}

func loadSheet(ls []results.CompoundLoad) document.Sheet {
	type load = results.CompoundLoad
	return sheet("heaviest teeth", ls, []field[load]{
		{"case", 24, func(x load) any { return x.Case }},
		{"course", 11, func(x load) any { return x.Course }},
		{"tooth (FDI)", 11, func(x load) any { return int(x.Tooth) }},
		{"planned", 60, func(x load) any { return strings.Join(x.Movements, ", ") }},
		{"staging", 20, func(x load) any { return text(x.Staging) }},
		{"large movements", 11, func(x load) any { return x.Large }},
		{"load (tolerances)", 11, func(x load) any { return x.Load }},
		{"left over (tolerances)", 11, func(x load) any { return x.Residual }},
		{"not measured", 11, func(x load) any { return x.Unmeasured }},
		{"outside tolerance", 11, func(x load) any { return x.Outside }},
	})
}
