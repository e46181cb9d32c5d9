package report_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/report/chart"
	"shortfall/report/document"
)

type drawn struct{}

func (drawn) Draw(w float64) *chart.Figure { return &chart.Figure{W: w, H: 1} }

func cells(texts ...string) document.Row {
	r := document.Row{}
	for _, s := range texts {
		r.Cells = append(r.Cells, document.Cell{Text: s})
	}
	return r
}

func whole() *document.Document {
	two := []document.Column{{Title: "Name"}, {Title: "Value", Number: true}}
	return &document.Document{Title: "t", Lang: "en-GB", Sections: []document.Section{
		{ID: "one", Title: "One", Blocks: []document.Block{
			document.Para{Text: document.Join(document.Words("See "), document.Ref("tab"), document.Words(" and "), document.Link("row", "row-a"))},
			document.Figure{ID: "fig", Title: "It rises", Desc: "d", Drawings: []document.Drawing{drawn{}}, Data: &document.Table{Title: "data", Columns: two, Rows: []document.Row{cells("a", "1")}}},
			document.Section{ID: "in", Title: "Inner", Blocks: []document.Block{document.Table{ID: "tab", Title: "T", Columns: two, Rows: []document.Row{{ID: "row-a", Cells: cells("a", "1").Cells}}}}},
		}},
	}}
}

func TestAWholeDocumentPasses(t *testing.T) { require.NoError(t, whole().Check()) }

func TestLabelsFollowTheOrderOfReading(t *testing.T) {
	assert.Equal(t, map[string]string{"one": "One", "in": "Inner", "fig": "Figure\u00a01", "tab": "Table\u00a01", "row-a": "Table\u00a01"}, whole().Labels())
	var levels []int
	whole().Walk(func(b document.Block, level int) {
		if _, ok := b.(document.Section); ok {
			levels = append(levels, level)
		}
	})
	assert.Equal(t, []int{1, 2}, levels)
}

func TestCheckNamesEveryProblem(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(*document.Document)
		want  string
	}{
		"link to nowhere":  {func(d *document.Document) { d.Sections[0].Blocks[0] = document.Para{Text: document.Ref("gone")} }, `"gone"`},
		"id twice":         {func(d *document.Document) { d.Sections = append(d.Sections, document.Section{ID: "tab", Title: "x"}) }, `id "tab" is used 2 times`},
		"figure without":   {func(d *document.Document) { d.Sections[0].Blocks[1] = document.Figure{ID: "fig", Title: "x"} }, "needs a title, a description and a drawing"},
		"section untitled": {func(d *document.Document) { d.Sections[0].Title = "" }, "has no title"},
		"empty paragraph":  {func(d *document.Document) { d.Sections[0].Blocks = append(d.Sections[0].Blocks, document.Para{}) }, "empty paragraph"},
		"no language":      {func(d *document.Document) { d.Lang = "" }, "language"},
		"row of other size": {func(d *document.Document) {
			d.Sections[0].Blocks[1] = document.Table{ID: "fig", Columns: []document.Column{{Title: "a"}}, Rows: []document.Row{cells("a", "b")}}
		}, "2 cells for 1 columns"},
		"sheet of a known name": {func(d *document.Document) { d.Sheets = []document.Sheet{{Name: "one"}, {Name: "One"}} }, "a name of its own"},
		"sheet of odd values": {func(d *document.Document) {
			d.Sheets = []document.Sheet{{Name: "one", Columns: make([]document.SheetColumn, 1), Rows: [][]any{{true}}}}
		}, "cannot hold a bool"},
		"sheet of other width": {func(d *document.Document) { d.Sheets = []document.Sheet{{Name: "one", Rows: [][]any{{1}}}} }, "1 cells for 0 columns"},
		"cells of nothing": {func(d *document.Document) {
			d.Sections[0].Blocks[1] = document.Table{ID: "fig", Columns: []document.Column{{Title: "a"}, {Title: "b"}}, Rows: []document.Row{cells("a", "–"), cells("b", "0 v 91"), cells("c", "")}}
		}, "says nothing"},
	} {
		t.Run(name, func(t *testing.T) {
			d := whole()
			c.spoil(d)
			assert.ErrorContains(t, d.Check(), c.want)
		})
	}
}

// A part stands on its own: every link of it leads somewhere, and the whole is as it was.
func TestPartLeadsNowhereElse(t *testing.T) {
	d := &document.Document{Title: "whole", Lang: "en-GB", Sections: []document.Section{
		{ID: "a", Title: "A", Blocks: []document.Block{
			document.Para{Text: document.Join(document.Link("words", "b"), document.Ref("b"), document.Link("here", "t"))},
			document.Table{ID: "t", Title: "T", Columns: []document.Column{{Title: "x"}}, Rows: []document.Row{{Cells: []document.Cell{{Text: "1", To: "b"}}}, {Cells: []document.Cell{{Text: "2", To: "a"}}}}, Below: document.Ref("b")},
		}},
		{ID: "b", Title: "B", Blocks: []document.Block{document.Para{Text: document.Words("text")}}},
	}}
	part := d.Part("a")
	require.NoError(t, part.Check())
	assert.Equal(t, document.Text{{Text: "words"}, {Text: "here", To: "t"}}, part.Sections[0].Blocks[0].(document.Para).Text)
	assert.Equal(t, []string{"", "a"}, []string{part.Sections[0].Blocks[1].(document.Table).Rows[0].Cells[0].To, part.Sections[0].Blocks[1].(document.Table).Rows[1].Cells[0].To})
	assert.Equal(t, "b", d.Sections[0].Blocks[1].(document.Table).Rows[0].Cells[0].To)
	assert.Empty(t, d.Part("none").Sections)

	// Brackets of references close over what is left, or go.
	in := func(to string) bool { return to == "" || to == "a" }
	for _, c := range []struct {
		of   []string // where the references lead
		want string
	}{{[]string{"a"}, "Said. (a)"}, {[]string{"b"}, "Said."}, {[]string{"a", "b"}, "Said. (a)"}, {[]string{"b", "a"}, "Said. (a)"}, {[]string{"b", "c"}, "Said."}, {[]string{"a", "b", "a"}, "Said. (a; a)"}} {
		text := document.Join(document.Words("Said."), document.Words(" ("))
		for i, to := range c.of {
			if i > 0 {
				text = document.Join(text, document.Words("; "))
			}
			text = document.Join(text, document.Ref(to))
		}
		text = document.Join(text, document.Words(")"))
		assert.Equal(t, c.want, text.Within(in).Plain(), c.of)
	}
}
