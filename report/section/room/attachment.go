package room

import (
	"shortfall/audit/results"
	"shortfall/report/document"
)

// An attachment of either style against none.
var _ = Furnish("attachment", Room{
	Exhibits: Exhibits{"table": attachmentTable},
	Sheets: func(m *Maker) []document.Sheet {
		return []document.Sheet{groupSheet(m, "attachment or none", m.Results.Questions.Attachment.Comparisons)}
	},
})

func attachmentTable(m *Maker, e *results.Exhibit) document.Block {
	return m.groups(e, m.Results.Questions.Attachment.Comparisons)
}
