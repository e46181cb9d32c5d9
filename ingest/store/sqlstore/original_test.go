package sqlstore

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
)

// sheetRows are rows of n columns, in which now and then a cell is blank, not kept or, in
// the last column, one of another row.
func sheetRows(n, columns int) []casebook.Original {
	rows := &casebook.Rows{}
	for i := range columns {
		rows.Column(casebook.RowColumn{Place: string(rune('A' + i)), Header: fmt.Sprint("header ", i), Kept: fmt.Sprint("field ", i)})
	}
	above := rows.Column(casebook.RowColumn{Place: "B3", Header: "above", Kept: "above"})
	out := make([]casebook.Original, n)
	for row := range n {
		blank := func(i int) bool { return i%4 == 3 && row%(i+2) == 0 }
		cells := 1
		for i := range columns {
			if !blank(i) {
				cells++
			}
		}
		out[row] = rows.Begin(row+2, cells)
		for i := range columns {
			if !blank(i) {
				rows.Cell(i, fmt.Sprint(row*i%90), i == 0 || row%5 > 0 || (row+i)%11 > 0)
			}
		}
		rows.Cell(above, "x", row%30 == 1) // row 3 among them, where B3 is its own
	}
	return out
}

func counted() *layouts {
	l := &layouts{ids: map[string]int64{}}
	known := map[string]int64{}
	l.insert = func(_ context.Context, cells string) (int64, error) {
		if known[cells] == 0 {
			known[cells] = int64(len(known)) + 1
		}
		return known[cells], nil
	}
	return l
}

// Rows of more shapes than are remembered are split as they are with none remembered, and
// join to what they were: what a cell of another row is called goes by the row it is in.
func TestRecentShapesSplitTheSame(t *testing.T) {
	l, slow := counted(), counted()
	layouts := map[int64]string{}
	insert := l.insert
	l.insert = func(ctx context.Context, cells string) (int64, error) {
		id, err := insert(ctx, cells)
		layouts[id] = cells
		return id, err
	}
	for i, o := range sheetRows(2000, 14) {
		id, texts, err := l.split(context.Background(), i+2, o)
		require.NoError(t, err)
		slow.recent = [16]shape{}
		same, also, err := slow.split(context.Background(), i+2, o)
		require.NoError(t, err)
		require.Equal(t, [2]any{same, also}, [2]any{id, texts})
		cells, err := join(layouts[id], texts, i+2)
		require.NoError(t, err)
		want := casebook.Keep(o.Cells())
		require.Len(t, cells, len(want))
		for j := range want {
			assert.Equal(t, want[j].Ref, cells[j].Ref)
			assert.Equal(t, want[j].Text, cells[j].Text)
		}
	}
	assert.Greater(t, len(layouts), len(l.recent))
}

// BenchmarkSplit with and without the shapes that came lately.
func BenchmarkSplit(b *testing.B) {
	rows := sheetRows(20000, 14)
	for _, known := range []bool{true, false} {
		b.Run(fmt.Sprint("recent shapes ", known), func(b *testing.B) {
			l := counted()
			for b.Loop() {
				for i, o := range rows {
					if !known {
						l.recent = [16]shape{}
					}
					if _, _, err := l.split(b.Context(), i+2, o); err != nil {
						b.Fatal(err)
					}
				}
			}
		})
	}
}
