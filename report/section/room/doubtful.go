package room

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// Amounts that can hardly be right, and what rests on them.
var _ = Furnish("doubtful", Room{
	Exhibits: Exhibits{"table": doubtfulTable},
	Sheets: func(m *Maker) []document.Sheet {
		return []document.Sheet{doubtfulSheet(m)}
	},
})

func doubtfulTable(m *Maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range chosen(e, m.Results.Questions.Doubtful.List) {
		what := fmt.Sprintf("%s, tooth %s, course %d: %s", x.Case, x.Tooth.In(m.Settings.Notation), x.Course, m.Names.Direction(x.Direction))
		t.add(Words(what), Words(wording.Fine(x.Planned, x.Unit)), Words(wording.Fine(x.Achieved, x.Unit)), Words(whyDoubted(x)), Words(x.Touches))
	}
	return orNil(t.Table)
}

// whyDoubted says why an amount is listed, and that somebody confirmed it.
func whyDoubted(x results.DoubtfulAmount) string {
	if x.Confirmed {
		return x.Doubt + "; confirmed on reading"
	}
	return x.Doubt
}

func doubtfulSheet(m *Maker) document.Sheet {
	type amount = results.DoubtfulAmount
	return Sheet("doubtful amounts", m.Results.Questions.Doubtful.List, []Field[amount]{
		{"case", 14, func(x amount) any { return Text(x.Case) }},
		{"course", 8, func(x amount) any { return x.Course }},
		{"tooth (FDI)", 11, func(x amount) any { return int(x.Tooth) }},
		{"movement", 18, func(x amount) any { return m.Names.Direction(x.Direction) }},
		{"planned (unit)", 11, func(x amount) any { return x.Planned }},
		{"achieved (unit)", 11, func(x amount) any { return x.Achieved }},
		{"unit", 8, func(x amount) any { return x.Unit.String() }},
		{"why", 40, func(x amount) any { return x.Doubt }},
		{"confirmed on reading", 12, func(x amount) any { return x.Confirmed }},
		{"touches", 60, func(x amount) any { return Text(x.Touches) }},
	})
}
