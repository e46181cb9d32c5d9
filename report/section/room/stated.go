package room

import (
	"shortfall/audit/results"
	"shortfall/report/document"
)

// Expression derived from percentages that the practice states.
var _ = Furnish("stated", Room{
	Exhibits: Exhibits{"table": statedTable},
	Sheets: func(m *Maker) []document.Sheet {
		return []document.Sheet{statedSheet(m, m.Results.Questions.Stated.Cells)}
	},
})

func statedTable(m *Maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range chosen(e, m.Results.Questions.Stated.Cells) {
		if x.Suppressed {
			t.fill(Words(m.movementCourse(x.By)), Words(tooFew))
			continue
		}
		t.add(Words(m.movementCourse(x.By)), Words(pair(x.Cases, x.Movements)), noted(Estimate(x.Expression.Value, x.Expression.Low, x.Expression.High), x.Warnings))
	}
	return orNil(t.Table)
}

func statedSheet(m *Maker, cells []results.StatedCell) document.Sheet {
	type cell = results.StatedCell
	numbers := append([]Field[cell]{
		{"cases", 11, func(x cell) any { return x.Cases }}, {"movements", 11, func(x cell) any { return x.Movements }},
	}, spreads("derived expression (ratio)", func(x cell) results.Spread { return x.Expression })...)
	cols := append(byColumns(m, func(x cell) results.By { return x.By }, false), shown(func(x cell) bool { return x.Suppressed }, numbers)...)
	return Sheet("stated percentages", cells, append(cols, Field[cell]{"warnings", 60, func(x cell) any { return warningText(x.Warnings) }}))
}
