package section

import (
	"shortfall/audit/results"
	"shortfall/report/document"
)

// Shapes and sizes of attachments against each other.
var _ = furnish("shape", room{
	exhibits: exhibits{"shapes.table": shapeTable, "sizes.table": sizeTable},
	sheets: func(m *maker) []document.Sheet {
		q := &m.r.Questions.Shape
		return []document.Sheet{groupSheet("shapes", q.Shapes), groupSheet("sizes", q.Sizes)}
	},
})

func shapeTable(m *maker, e *results.Exhibit) document.Block {
	return m.groups(e, m.r.Questions.Shape.Shapes)
}

func sizeTable(m *maker, e *results.Exhibit) document.Block {
	return m.groups(e, m.r.Questions.Shape.Sizes)
}
