package room

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/report/document"
)

// What is withheld is counted below its table and takes no row of it; a table of
// nothing else is not there, nor is a column that is empty.
func TestWithheldRowsAreCountedNotPrinted(t *testing.T) {
	few, one := []document.Cell{Words("a"), Words(tooFew), {}, {}}, []document.Cell{Words("b"), Words("5 / 7"), Words("52"), {}}
	half := []document.Cell{Words("c"), Words(tooFew), Words("10 %"), {}}
	columns := []document.Column{{Title: "Name"}, {Title: "Cases"}, {Title: "%"}, {Title: "Nothing"}}
	head := func(s string) document.Row { return document.Row{Group: document.Strong(s)} }
	row := func(cells []document.Cell) document.Row { return document.Row{Cells: cells} }
	got, ok := orNil(document.Table{Columns: columns, Rows: []document.Row{head("g1"), row(few), head("g2"), row(one), row(few), row(half), head("g3"), row(few)}}).(document.Table)
	require.True(t, ok)
	assert.Equal(t, []document.Row{head("g2"), row(one[:3]), row(half[:3])}, got.Rows)
	assert.Len(t, got.Columns, 3)
	assert.Equal(t, "Left out for too few cases: 3\u00a0rows. ", got.Below.Plain())
	assert.Nil(t, orNil(document.Table{Columns: columns, Rows: []document.Row{row(few)}}))
}
