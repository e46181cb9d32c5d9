package section

import (
	"fmt"

	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// recorded is what to record for the next audit and what for, where there is room.
func (m *maker) recorded() (out []document.Block) {
	t := document.Table{Title: "For the next audit: what is on record now, and what it is for", IfRoom: true, Columns: []document.Column{{Title: "To record"}, {Title: "On record", Number: true}, {Title: "For"}}}
	for i, x := range m.front.Recorded {
		t.Rows = append(t.Rows, document.Row{ID: fmt.Sprintf("recorded-%d", i), Cells: []document.Cell{
			{Text: x.What},
			{Text: fmt.Sprintf("%s of %s", wording.Count(x.Recorded), wording.Of(x.Total, x.Of))},
			{Text: x.For},
		}})
	}
	if len(t.Rows) > 0 {
		out = append(out, t)
	}
	return out
}

// notes are lines for what the meeting says, as many as there is room for.
func (m *maker) notes() document.Block {
	return document.Table{IfRoom: true, ToFill: true, Columns: []document.Column{{Title: "Notes of the meeting"}}, Rows: []document.Row{{Cells: make([]document.Cell, 1)}}}
}

// nothingMeasured is true where page one can draw nothing of what was achieved.
func (m *maker) nothingMeasured() bool {
	if len(m.front.Dots.Groups) > 0 {
		return false
	}
	for _, a := range m.front.Arches.Axes {
		if a.First {
			return false
		}
	}
	return true
}
