package document

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/report/chart"
)

type drawn struct{}

func (drawn) Draw(w float64) *chart.Figure { return &chart.Figure{W: w, H: 1} }

func cells(texts ...string) Row {
	r := Row{}
	for _, s := range texts {
		r.Cells = append(r.Cells, Cell{Text: s})
	}
	return r
}

func whole() *Document {
	two := []Column{{Title: "Name"}, {Title: "Value", Number: true}}
	return &Document{Title: "t", Lang: "en-GB", Sections: []Section{
		{ID: "one", Title: "One", Blocks: []Block{
			Para{Text: Join(Words("See "), Ref("tab"), Words(" and "), Link("row", "row-a"))},
			Figure{ID: "fig", Title: "It rises", Desc: "d", Drawings: []Drawing{drawn{}}, Data: &Table{Title: "data", Columns: two, Rows: []Row{cells("a", "1")}}},
			Section{ID: "in", Title: "Inner", Blocks: []Block{Table{ID: "tab", Title: "T", Columns: two, Rows: []Row{{ID: "row-a", Cells: cells("a", "1").Cells}}}}},
		}},
	}}
}

func TestAWholeDocumentPasses(t *testing.T) { require.NoError(t, whole().Check()) }

func TestLabelsFollowTheOrderOfReading(t *testing.T) {
	assert.Equal(t, map[string]string{"one": "One", "in": "Inner", "fig": "Figure\u00a01", "tab": "Table\u00a01", "row-a": "Table\u00a01"}, whole().Labels())
	var levels []int
	whole().Walk(func(b Block, level int) {
		if _, ok := b.(Section); ok {
			levels = append(levels, level)
		}
	})
	assert.Equal(t, []int{1, 2}, levels)
}

func TestCheckNamesEveryProblem(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(*Document)
		want  string
	}{
		"link to nowhere":  {func(d *Document) { d.Sections[0].Blocks[0] = Para{Text: Ref("gone")} }, `"gone"`},
		"id twice":         {func(d *Document) { d.Sections = append(d.Sections, Section{ID: "tab", Title: "x"}) }, `id "tab" is used 2 times`},
		"figure without":   {func(d *Document) { d.Sections[0].Blocks[1] = Figure{ID: "fig", Title: "x"} }, "needs a title, a description and a drawing"},
		"section untitled": {func(d *Document) { d.Sections[0].Title = "" }, "has no title"},
		"empty paragraph":  {func(d *Document) { d.Sections[0].Blocks = append(d.Sections[0].Blocks, Para{}) }, "empty paragraph"},
		"no language":      {func(d *Document) { d.Lang = "" }, "language"},
		"row of other size": {func(d *Document) {
			d.Sections[0].Blocks[1] = Table{ID: "fig", Columns: []Column{{Title: "a"}}, Rows: []Row{cells("a", "b")}}
		}, "2 cells for 1 columns"},
		"sheet of a known name": {func(d *Document) { d.Sheets = []Sheet{{Name: "one"}, {Name: "One"}} }, "a name of its own"},
		"sheet of odd values": {func(d *Document) {
			d.Sheets = []Sheet{{Name: "one", Columns: make([]SheetColumn, 1), Rows: [][]any{{true}}}}
		}, "cannot hold a bool"},
		"sheet of other width": {func(d *Document) { d.Sheets = []Sheet{{Name: "one", Rows: [][]any{{1}}}} }, "1 cells for 0 columns"},
		"cells of nothing": {func(d *Document) {
			d.Sections[0].Blocks[1] = Table{ID: "fig", Columns: []Column{{Title: "a"}, {Title: "b"}}, Rows: []Row{cells("a", "–"), cells("b", "0 v 91"), cells("c", "")}}
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
	d := &Document{Title: "whole", Lang: "en-GB", Sections: []Section{
		{ID: "a", Title: "A", Blocks: []Block{
			Para{Text: Join(Link("words", "b"), Ref("b"), Link("here", "t"))},
			Table{ID: "t", Title: "T", Columns: []Column{{Title: "x"}}, Rows: []Row{{Cells: []Cell{{Text: "1", To: "b"}}}, {Cells: []Cell{{Text: "2", To: "a"}}}}, Below: Ref("b")},
		}},
		{ID: "b", Title: "B", Blocks: []Block{Para{Text: Words("text")}}},
	}}
	part := d.Part("a")
	require.NoError(t, part.Check())
	assert.Equal(t, Text{{Text: "words"}, {Text: "here", To: "t"}}, part.Sections[0].Blocks[0].(Para).Text)
	assert.Equal(t, []string{"", "a"}, []string{part.Sections[0].Blocks[1].(Table).Rows[0].Cells[0].To, part.Sections[0].Blocks[1].(Table).Rows[1].Cells[0].To})
	assert.Equal(t, "b", d.Sections[0].Blocks[1].(Table).Rows[0].Cells[0].To)
	assert.Empty(t, d.Part("none").Sections)

	// Brackets of references close over what is left, or go.
	in := func(to string) bool { return to == "" || to == "a" }
	for _, c := range []struct {
		of   []string // where the references lead
		want string
	}{{[]string{"a"}, "Said. (a)"}, {[]string{"b"}, "Said."}, {[]string{"a", "b"}, "Said. (a)"}, {[]string{"b", "a"}, "Said. (a)"}, {[]string{"b", "c"}, "Said."}, {[]string{"a", "b", "a"}, "Said. (a; a)"}} {
		text := Join(Words("Said."), Words(" ("))
		for i, to := range c.of {
			if i > 0 {
				text = Join(text, Words("; "))
			}
			text = Join(text, Ref(to))
		}
		text = Join(text, Words(")"))
		assert.Equal(t, c.want, text.within(in).Plain(), c.of)
	}
}
