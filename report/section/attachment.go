package section

import (
	"shortfall/audit/results"
	"shortfall/report/document"
)

// An attachment of either style against none.
var _ = furnish("attachment", room{
	exhibits: exhibits{"table": attachmentTable},
	sheets: func(m *maker) []document.Sheet {
		return []document.Sheet{groupSheet("attachment or none", m.r.Questions.Attachment.Comparisons)}
	},
})

func attachmentTable(m *maker, e *results.Exhibit) document.Block {
	return m.groups(e, m.r.Questions.Attachment.Comparisons)
}
