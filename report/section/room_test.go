package section

import (
	"context"
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/report/document"
	"shortfall/sampledata"
)

// TestEveryQuestionHasARoom, and no room is left without its question: what is asked
// reaches pages, web page and workbook.
func TestEveryQuestionHasARoom(t *testing.T) {
	var asked []string
	for _, q := range audit.Questions() {
		asked = append(asked, q.ID)
		r := rooms[q.ID]
		assert.True(t, r.sheets != nil || r.facts != nil, "%s puts nothing in the workbook", q.ID)
	}
	assert.ElementsMatch(t, asked, slices.Collect(maps.Keys(rooms)))
}

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

// TestARoomOfItsOwnIsEnough: a question that audit adds reaches the document and the
// workbook by its room alone.
func TestARoomOfItsOwnIsEnough(t *testing.T) {
	furnish("invented", room{
		exhibits: exhibits{"table": func(_ *maker, e *results.Exhibit) document.Block {
			return document.Table{ID: target(e.ID), Title: e.Title, Columns: []document.Column{{Title: "a"}, {Title: "b"}}, Rows: []document.Row{{Cells: []document.Cell{words("x"), words("1.5")}}}}
		}},
		sheets: func(*maker) []document.Sheet {
			return []document.Sheet{sheet("invented", []results.Number{1.5, results.NotEstimable}, []field[results.Number]{{"b", 8, func(n results.Number) any { return n }}})}
		},
	})
	defer delete(rooms, "invented")
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
