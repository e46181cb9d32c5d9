package section

import (
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// Expression by the way in which outcomes were measured.
var _ = furnish("measuredby", room{
	exhibits: exhibits{"table": measuredTable},
	sheets:   func(m *maker) []document.Sheet { return []document.Sheet{measuredSheet(m.r.Questions.Measured.Cells)} },
})

func measuredTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range chosen(e, m.r.Questions.Measured.Cells) {
		t.group(movementCourse(x.By))
		if x.Suppressed {
			t.fill(words(wording.Way(x.Method)), words(tooFew))
			continue
		}
		t.add(words(wording.Way(x.Method)), words(pair(x.Cases, x.Movements)), noted(Estimate(x.Expression.Value, x.Expression.Low, x.Expression.High), x.Warnings))
	}
	return orNil(t.Table)
}

func measuredSheet(cells []results.MeasuredCell) document.Sheet {
	type cell = results.MeasuredCell
	numbers := append([]field[cell]{
		{"cases", 11, func(x cell) any { return x.Cases }}, {"movements", 11, func(x cell) any { return x.Movements }},
	}, spreads("expression (ratio)", func(x cell) results.Spread { return x.Expression })...)
	cols := append(byColumns(func(x cell) results.By { return x.By }, false), field[cell]{"measured by", 22, func(x cell) any { return wording.Way(x.Method) }})
	cols = append(cols, shown(func(x cell) bool { return x.Suppressed }, numbers)...)
	return sheet("ways of measuring", cells, append(cols, field[cell]{"warnings", 60, func(x cell) any { return warningText(x.Warnings) }}))
}
