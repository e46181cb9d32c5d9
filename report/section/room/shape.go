package room

import (
	"shortfall/audit/results"
	"shortfall/report/document"
)

// Shapes and sizes of attachments against each other.
var _ = Furnish("shape", Room{
	Exhibits: Exhibits{"shapes.table": shapeTable, "sizes.table": sizeTable},
	Sheets: func(m *Maker) []document.Sheet {
		q := &m.Results.Questions.Shape
		return []document.Sheet{groupSheet(m, "shapes", q.Shapes), groupSheet(m, "sizes", q.Sizes)}
	},
})

func shapeTable(m *Maker, e *results.Exhibit) document.Block {
	return m.groups(e, m.Results.Questions.Shape.Shapes)
}

func sizeTable(m *Maker, e *results.Exhibit) document.Block {
	return m.groups(e, m.Results.Questions.Shape.Sizes)
}
