package paper

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/report/chart"
	"shortfall/report/document"
	"shortfall/report/typeface"
)

// At every height at which a section may begin, its heading stands on the page of what it
// heads: of a table the head and its first rows, of a paragraph its first lines with
// their notes.
func TestHeadingsStandWithWhatTheyHead(t *testing.T) {
	noted := document.Para{Text: document.Noted("Too few cases are known for this.", note(1), note(2), note(3))}
	for name, first := range map[string]document.Block{"table": numbers(9), "small table": numbers(4), "paragraph": noted, "section": document.Section{Title: "Inner", Blocks: []document.Block{noted}}} {
		apart := 0
		for h := 120.0; h < 240; h += 3 {
			d := laidDoc(t, document.Section{Title: "Before", Blocks: []document.Block{tallFigure("a", h, h), document.Section{Title: "Headed", Blocks: []document.Block{first}}}})
			page := pageOf(d, "Headed")
			require.Positive(t, page)
			if page > 1 {
				apart++
			}
			for _, text := range []string{"row 0", "Inner", "Too few cases are known for this."} {
				if p := pageOf(d, text); p > 0 {
					assert.Equal(t, page, p, "%s, %q after %g mm", name, text, h)
				}
			}
		}
		assert.Positive(t, apart, "%s: some begin on the next page", name)
	}
}

// A table of a few rows is not broken, one of many is.
func TestSmallTablesAreNotBroken(t *testing.T) {
	broken := func(rows int) (n int) {
		tab := document.Table{ID: "t", Title: "T", Columns: []document.Column{{Title: "a"}, {Title: "b"}}}
		for i := range rows {
			tab.Rows = append(tab.Rows, document.Row{Cells: []document.Cell{{Text: fmt.Sprintf("row %d", i)}, {Text: "words"}}})
		}
		for h := 120.0; h < 240; h += 3 {
			d := laidDoc(t, document.Section{Title: "Before", Blocks: []document.Block{tallFigure("a", h, h), tab}})
			if pageOf(d, "row 0") != pageOf(d, fmt.Sprintf("row %d", rows-1)) {
				n++
			}
		}
		return n
	}
	assert.Zero(t, broken(11))
	assert.Positive(t, broken(30))
}

// A row of several lines has air around it; rows of one line have none.
func TestRowsThatWrapHaveAir(t *testing.T) {
	steps := func(words string) (out []float64) {
		tab := document.Table{ID: "t", Title: "T", Columns: []document.Column{{Title: "a"}, {Title: "b"}}}
		for i := range 3 {
			tab.Rows = append(tab.Rows, document.Row{Cells: []document.Cell{{Text: fmt.Sprintf("row %d", i)}, {Text: words}}})
		}
		before := 0.0
		for _, b := range laidDoc(t, document.Section{Title: "s", Blocks: []document.Block{tab}}).Boxes() {
			if strings.HasPrefix(b.Text, "row ") {
				out, before = append(out, b.Box.Y-before), b.Box.Y
			}
		}
		return out[1:]
	}
	for _, h := range steps("short") {
		assert.InDelta(t, Baseline, h, 1e-9)
	}
	for _, h := range steps(strings.Repeat("words and more ", 12)) {
		assert.InDelta(t, 2.3*Baseline, h, 1e-9)
	}
}

// The area of a link is that of its words, without the space before them.
func TestLinksBeginAtTheirWords(t *testing.T) {
	d := laidDoc(t, document.Section{ID: "s", Title: "Section", Blocks: []document.Block{document.Para{Text: document.Join(document.Words("Method: "), document.Link("ratio of sums", "s"), document.Words("."))}}})
	require.Len(t, d.Ways(), 1)
	on := d.Ways()[0].Box
	assert.InDelta(t, Margin+typeface.Width("Method: ", TextPt, false), on.X, 0.01)
	assert.InDelta(t, typeface.Width("ratio of sums", TextPt, false), on.W, 0.01)
}

// A head over numbers takes three lines at most.
func TestHeadsOverNumbersAreShort(t *testing.T) {
	tab := document.Table{ID: "t", Title: "T", Columns: []document.Column{{Title: "a"}, {Title: "Cases, before v after it all", Number: true}}, Rows: []document.Row{{Cells: []document.Cell{{Text: "x"}, {Text: "1"}}}}}
	d := laidDoc(t, document.Section{Title: "s", Blocks: []document.Block{tab}})
	var lines []chart.Box
	for _, b := range d.Boxes() {
		if strings.Contains("Cases, before v after it all", b.Text) && len(b.Text) > 1 {
			lines = append(lines, b.Box)
		}
	}
	assert.NotEmpty(t, lines)
	assert.LessOrEqual(t, len(lines), 3)
}

// A word is not broken at its hyphen where a line, or the columns of a table set closer,
// have room for it; one wider than its line is.
func TestHyphenatedWordsHold(t *testing.T) {
	assert.Equal(t, []string{"of the", "software-suggested"}, wrapPlain("of the software-suggested", 32, TextPt, false))
	assert.Equal(t, []string{"of the", "software-", "suggested"}, wrapPlain("of the software-suggested", 20, TextPt, false))

	tab := document.Table{ID: "t", Title: "T", Columns: []document.Column{{Title: "Main style of the first attachments"}}}
	row := document.Row{Cells: []document.Cell{{Text: "Software-suggested"}}}
	for range 7 {
		tab.Columns = append(tab.Columns, document.Column{Title: "0", Number: true})
		row.Cells = append(row.Cells, document.Cell{Text: "14 % (10/72)"})
	}
	tab.Rows = []document.Row{row}
	d := laidDoc(t, document.Section{Title: "S", Blocks: []document.Block{tab}})
	assert.Positive(t, pageOf(d, "Software-suggested"), "in one piece")
}
