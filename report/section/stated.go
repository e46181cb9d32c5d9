package section

import (
	"shortfall/audit/results"
	"shortfall/report/document"
)

// Expression derived from percentages that the practice states.
var _ = furnish("stated", room{
	exhibits: exhibits{"table": statedTable},
	sheets:   func(m *maker) []document.Sheet { return []document.Sheet{statedSheet(m.r.Questions.Stated.Cells)} },
})

func statedTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range chosen(e, m.r.Questions.Stated.Cells) {
		if x.Suppressed {
			t.fill(words(movementCourse(x.By)), words(tooFew))
			continue
		}
		t.add(words(movementCourse(x.By)), words(pair(x.Cases, x.Movements)), noted(Estimate(x.Expression.Value, x.Expression.Low, x.Expression.High), x.Warnings))
	}
	return orNil(t.Table)
}

func statedSheet(cells []results.StatedCell) document.Sheet {
	type cell = results.StatedCell
	numbers := append([]field[cell]{
		{"cases", 11, func(x cell) any { return x.Cases }}, {"movements", 11, func(x cell) any { return x.Movements }},
	}, spreads("derived expression (ratio)", func(x cell) results.Spread { return x.Expression })...)
	cols := append(byColumns(func(x cell) results.By { return x.By }, false), shown(func(x cell) bool { return x.Suppressed }, numbers)...)
	return sheet("stated percentages", cells, append(cols, field[cell]{"warnings", 60, func(x cell) any { return warningText(x.Warnings) }}))
}
