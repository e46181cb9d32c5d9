package section

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// Amounts that can hardly be right, and what rests on them.
var _ = furnish("doubtful", room{
	exhibits: exhibits{"table": doubtfulTable},
	sheets:   func(m *maker) []document.Sheet { return []document.Sheet{doubtfulSheet(m.r.Questions.Doubtful.List)} },
})

func doubtfulTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range chosen(e, m.r.Questions.Doubtful.List) {
		what := fmt.Sprintf("%s, tooth %s, course %d: %v", x.Case, x.Tooth.In(m.set.Notation), x.Course, x.Direction)
		t.add(words(what), words(wording.Fine(x.Planned, x.Unit)), words(wording.Fine(x.Achieved, x.Unit)), words(x.Doubt), words(x.Touches))
	}
	return orNil(t.Table)
}

func doubtfulSheet(list []results.DoubtfulAmount) document.Sheet {
	type amount = results.DoubtfulAmount
	return sheet("doubtful amounts", list, []field[amount]{
		{"case", 14, func(x amount) any { return text(x.Case) }},
		{"course", 8, func(x amount) any { return x.Course }},
		{"tooth", 8, func(x amount) any { return int(x.Tooth) }},
		{"movement", 18, func(x amount) any { return x.Direction.String() }},
		{"planned (unit)", 11, func(x amount) any { return x.Planned }},
		{"achieved (unit)", 11, func(x amount) any { return x.Achieved }},
		{"unit", 8, func(x amount) any { return x.Unit.String() }},
		{"why", 40, func(x amount) any { return x.Doubt }},
		{"touches", 60, func(x amount) any { return text(x.Touches) }},
	})
}
