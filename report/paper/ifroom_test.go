package paper

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/report/document"
)

// A table that is there if there is room begins no page; one to fill in has the lines that
// the page has room for, or is not there, and what follows stands on the same page.
func TestTablesThatStandWhereThereIsRoom(t *testing.T) {
	told := document.Table{Title: "Told", IfRoom: true, Columns: []document.Column{{Title: "a"}}, Rows: make([]document.Row, 5)}
	for i := range told.Rows {
		told.Rows[i] = document.Row{Cells: []document.Cell{{Text: "row"}}}
	}
	notes := document.Table{IfRoom: true, ToFill: true, Columns: []document.Column{{Title: "Notes"}}, Rows: []document.Row{{Cells: make([]document.Cell, 1)}}}
	for h := 60.0; h < 228; h += 2.5 {
		d := laidDoc(t, document.Section{ID: "a", Title: "First", Compact: true, Single: true, Blocks: []document.Block{
			tallFigure("one", h, h), told, notes, document.Para{Text: document.Words("The last line.")},
		}})
		assert.Equal(t, 1, d.Pages(), "%g mm", h)
		text, last := "", 0.0
		for _, b := range d.Boxes() {
			if text += b.Text + "|"; !strings.HasPrefix(b.Text, "page ") && b.Box.Y < A4.H-Margin-footH {
				last = max(last, b.Box.Y)
			}
		}
		assert.Contains(t, text, "The last line.")
		switch {
		case h < 180:
			assert.Contains(t, text, "Told|")
		case h > 222:
			assert.NotContains(t, text, "Told|")
			assert.NotContains(t, text, "Notes|")
		}
		assert.Greater(t, last, A4.H-Margin-footH-(4+6)*Baseline, "%g mm: the page is full", h)
	}
}
