package casebook

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Rows give back what was written, whether their texts came before or not.
func TestRowsGiveBackTheirCells(t *testing.T) {
	r := &Rows{}
	first, second := r.Column(RowColumn{Place: "A", Header: "Fall", Kept: "case"}), r.Column(RowColumn{Place: "AB", Header: "", Kept: ""})
	var rows []Original
	for i := range 3 {
		rows = append(rows, r.Begin(7+i, 2))
		r.Cell(first, "P1", i != 1)
		r.Cell(second, strings.Repeat("x", 200*i), false)
	}
	empty := r.Begin(99, 0)
	for i, o := range rows {
		want := []Cell{
			{Ref: "A" + strconv.Itoa(7+i), Header: "Fall", Text: "P1", Kept: "case"},
			{Ref: "AB" + strconv.Itoa(7+i), Text: strings.Repeat("x", 200*i)},
		}
		if i == 1 {
			want[0].Kept = ""
		}
		assert.Equal(t, want, o.Cells())
		assert.Equal(t, 7+i, o.Row())
	}
	assert.Empty(t, empty.Cells())
	assert.Empty(t, Original{}.Cells())
	assert.Equal(t, Original{}, OriginalOf(nil))
}

// Beyond the texts that are known again each is written where it stands.
func TestRowsOfManyTexts(t *testing.T) {
	r := &Rows{}
	c := r.Column(RowColumn{Place: "A"})
	var rows []Original
	for i := range mostTexts + 100 {
		rows = append(rows, r.Begin(i+1, 1))
		r.Cell(c, strconv.Itoa(i), false)
	}
	for i := mostTexts - 2; i < len(rows); i++ {
		assert.Equal(t, strconv.Itoa(i), rows[i].Cells()[0].Text)
	}
	assert.Len(t, r.texts, mostTexts)
}

func TestOriginalOfSingleCells(t *testing.T) {
	cells := []Cell{
		{Ref: "B1", Header: "h", Text: "t", Kept: "k"}, {Ref: "", Header: "sheet name", Text: "14", Kept: "x"}, {Ref: "C12", Text: "not kept"},
	}
	assert.Equal(t, cells, OriginalOf(cells).Cells())
}
