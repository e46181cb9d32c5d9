package section

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/report/document"
	"shortfall/report/section/room"
	"shortfall/sampledata"
)

// TestSheetsFollowTheOrderOfTheQuestions whatever a practice has on record, so that
// the same sheet stands at the same place in every workbook.
func TestSheetsFollowTheOrderOfTheQuestions(t *testing.T) {
	names := func(cases int) (out []string) {
		p := sampledata.Default()
		p.Cases = cases
		ds, _ := sampledata.Generate(p, 4)
		r, err := audit.Run(context.Background(), ds, results.DefaultSettings(), "test")
		require.NoError(t, err)
		d, err := Workbook(r)
		require.NoError(t, err)
		for _, s := range d.Sheets {
			out = append(out, s.Name)
		}
		return out
	}
	assert.Equal(t, names(60), names(3))
}

var _ = room.Furnish("invented", room.Room{
	Exhibits: room.Exhibits{"table": func(_ *room.Maker, e *results.Exhibit) document.Block {
		return document.Table{ID: room.Anchor(e.ID), Title: e.Title, Columns: []document.Column{{Title: "a"}, {Title: "b"}}, Rows: []document.Row{{Cells: []document.Cell{room.Words("x"), room.Words("1.5")}}}}
	}},
	Sheets: func(*room.Maker) []document.Sheet {
		return []document.Sheet{room.Sheet("invented", []results.Number{1.5, results.NotEstimable}, []room.Field[results.Number]{room.Head("b", 8, func(n results.Number) any { return n })})}
	},
})

// TestARoomOfItsOwnIsEnough: a question that audit adds reaches the document and the
// workbook by its room alone.
func TestARoomOfItsOwnIsEnough(t *testing.T) {
	r := &results.Results{Sections: []results.Section{{ID: "invented", Title: "Invented", Exhibits: []results.Exhibit{{ID: "invented.table", Title: "T", Denominator: "all"}}}}}
	built := false
	for _, b := range newMaker(r).annexes(true).Blocks {
		if s, ok := b.(document.Section); ok && s.ID == "annex-invented" {
			built = len(s.Blocks) == 1
		}
	}
	assert.True(t, built)
	d, err := Workbook(r)
	require.NoError(t, err)
	assert.Equal(t, document.Sheet{Name: "invented", Columns: []document.SheetColumn{{Head: "b", Width: 8}}, Rows: [][]any{{1.5}, {nil}}}, d.Sheets[1])
}
