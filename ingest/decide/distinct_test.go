package decide

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/layout"
	"shortfall/ingest/sheet"
)

// What a column says, with how often, is what its rows say one by one, also where one text
// stands in cells of several kinds and some rows have texts of their own.
func TestDistinctCountsEveryRow(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 9))
	s := &sheet.Sheet{}
	for n := 1; n <= 400; n++ {
		row := s.NewRow(n)
		if n%17 == 0 {
			row = sheet.RowOf(n)
		}
		for col := int32(1); col <= 3; col++ {
			if rnd.IntN(4) > 0 {
				row.Add(sheet.Cell{Col: col, Text: fmt.Sprint(rnd.IntN(9)), Kind: sheet.Number + sheet.Kind(rnd.IntN(2)), Percent: rnd.IntN(5) == 0})
			}
		}
		s.Rows = append(s.Rows, row)
	}
	third := func(r sheet.Row) bool { return r.Number%3 > 0 }
	table := &layout.Table{Sheet: s}
	for col := range 5 {
		want, first, got := map[sheet.Cell]int{}, map[sheet.Cell]int{}, map[sheet.Cell]int{}
		for _, r := range s.Rows {
			if c := r.At(col); third(r) {
				if want[c]++; want[c] == 1 {
					first[c] = r.Number
				}
			}
		}
		before := 0
		for _, x := range distinct(table, col, wanted(table, third)) {
			if got[x.cell] == 0 {
				assert.Equal(t, first[x.cell], x.first.Number)
			}
			require.GreaterOrEqual(t, x.first.Number, before)
			before = x.first.Number
			got[x.cell] += x.n
		}
		assert.Equal(t, want, got)
	}
	says := func(word string) bool { return s.MaySay(func(text string) bool { return text == word }) }
	assert.True(t, says("7"))
	assert.False(t, says("x"))
	own := sheet.RowOf(401, sheet.Cell{Col: 2, Text: "x", Kind: sheet.String})
	s.Rows = append(s.Rows, own)
	assert.True(t, says("x"), "a row with texts of its own")
}
