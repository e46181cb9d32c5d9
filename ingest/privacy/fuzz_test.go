package privacy

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/columns"
	"shortfall/ingest/privacy/seeded"
)

// FuzzScreen: whatever stands in a cell, the screen ends, names the cell where
// it finds something, and repeats nothing of it.
func FuzzScreen(f *testing.F) {
	for _, x := range seeded.Invent(29, 2) {
		f.Add(x.Text)
	}
	for _, s := range []string{"", "C-0123", "1,5 mm", "Dr", ".", "'s", "ﷺ", "12.", "A.", "\xff\xfe", "::", "++++++++"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		problems := Screen(with(clean(), Cell{Row: 3, Col: 11, Text: s}))
		for _, p := range problems {
			assert.Equal(t, "K3", p.Cell)
			if len(s) > 12 {
				assert.NotContains(t, p.Error(), s)
			}
		}
		for _, field := range columns.Fields() {
			CellRule(Cell{Text: s}, field, false)
			HeaderRule(s, field)
		}
		LabelRule(s)
	})
}
