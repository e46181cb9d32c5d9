package room

import (
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// Expression by the way in which outcomes were measured.
var _ = Furnish("measuredby", Room{
	Exhibits: Exhibits{"table": measuredTable},
	Sheets: func(m *Maker) []document.Sheet {
		return []document.Sheet{measuredSheet(m, m.Results.Questions.Measured.Cells)}
	},
})

func measuredTable(m *Maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range chosen(e, m.Results.Questions.Measured.Cells) {
		t.group(m.movementCourse(x.By))
		if x.Suppressed {
			t.fill(Words(wording.Way(x.Method)), Words(tooFew))
			continue
		}
		t.add(Words(wording.Way(x.Method)), Words(pair(x.Cases, x.Movements)), noted(Estimate(x.Expression.Value, x.Expression.Low, x.Expression.High), x.Warnings))
	}
	return orNil(t.Table)
}

func measuredSheet(m *Maker, cells []results.MeasuredCell) document.Sheet {
	type cell = results.MeasuredCell
	numbers := append([]Field[cell]{
		{"cases", 11, func(x cell) any { return x.Cases }}, {"movements", 11, func(x cell) any { return x.Movements }},
	}, spreads("expression (ratio)", func(x cell) results.Spread { return x.Expression })...)
	cols := append(byColumns(m, func(x cell) results.By { return x.By }, false), Field[cell]{"measured by", 22, func(x cell) any { return wording.Way(x.Method) }})
	cols = append(cols, shown(func(x cell) bool { return x.Suppressed }, numbers)...)
	return Sheet("ways of measuring", cells, append(cols, Field[cell]{"warnings", 60, func(x cell) any { return warningText(x.Warnings) }}))
}
