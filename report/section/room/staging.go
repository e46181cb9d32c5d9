package room

import (
	"fmt"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// Movements staged together against one after another.
var _ = Furnish("staging", Room{
	Exhibits: Exhibits{"table": stagingTable, "loads": loadTable},
	OffPaper: []string{"loads"},
	Sheets: func(m *Maker) []document.Sheet {
		q := &m.Results.Questions.Staging
		return []document.Sheet{groupSheet(m, "staging", q.Comparisons), loadSheet(q.Loads)}
	},
})

func stagingTable(m *Maker, e *results.Exhibit) document.Block {
	return m.groups(e, m.Results.Questions.Staging.Comparisons)
}

func loadTable(m *Maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range chosen(e, m.Results.Questions.Staging.Loads) {
		t.add(Words(x.Case), Words(fmt.Sprint(x.Course)), Words(x.Tooth.In(m.Settings.Notation)), Words(strings.Join(x.Movements, ", ")), Words(x.Staging), Words(wording.Fixed(x.Load, 1)), Words(wording.Fixed(x.Residual, 1)), Words(fmt.Sprint(x.Outside)))
	}
	return orNil(t.Table)
}

func loadSheet(ls []results.CompoundLoad) document.Sheet {
	type load = results.CompoundLoad
	return Sheet("heaviest teeth", ls, []Field[load]{
		{"case", 24, func(x load) any { return x.Case }},
		{"course", 11, func(x load) any { return x.Course }},
		{"tooth (FDI)", 11, func(x load) any { return int(x.Tooth) }},
		{"planned", 60, func(x load) any { return strings.Join(x.Movements, ", ") }},
		{"staging", 20, func(x load) any { return Text(x.Staging) }},
		{"large movements", 11, func(x load) any { return x.Large }},
		{"load (tolerances)", 11, func(x load) any { return x.Load }},
		{"left over (tolerances)", 11, func(x load) any { return x.Residual }},
		{"not measured", 11, func(x load) any { return x.Unmeasured }},
		{"outside tolerance", 11, func(x load) any { return x.Outside }},
	})
}
