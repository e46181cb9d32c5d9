package paper

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/report/typeface"
)

func composed(t *testing.T, build func(*Doc)) *Doc {
	t.Helper()
	d, err := Compose(A4, Meta{Title: "t", Lang: "en-GB", Date: time.Unix(0, 0), FootLeft: "foot"}, build)
	require.NoError(t, err)
	return d
}

func plain(lines [][]Run) (out []string) {
	for _, l := range lines {
		s := ""
		for _, r := range l {
			s += r.Text
		}
		out = append(out, s)
	}
	return out
}

func TestWrapKeepsWordsAndWidth(t *testing.T) {
	text := "Clinician-designed features, 52\u00a0% (95\u00a0% CI 44 to 60), and " + strings.Repeat("ιατρείο", 40)
	for _, w := range []float64{20, 45, 90} {
		lines := plain(wrap([]Run{B("Bold "), T(text), {Text: "¹", Muted: true}}, w, TextPt))
		dense := strings.NewReplacer(" ", "", "\u00a0", "")
		assert.Equal(t, dense.Replace("Bold "+text+"¹"), dense.Replace(strings.Join(lines, "")), "nothing is lost")
		for _, l := range lines {
			assert.LessOrEqual(t, typeface.Width(l, TextPt, false), w+0.02, l)
		}
	}
}

func TestWrapBreaks(t *testing.T) {
	assert.Equal(t, []string{"software-", "suggested"}, plain(wrap([]Run{T("software-suggested")}, 20, TextPt)))
	assert.Equal(t, []string{"(P", "95-97)"}, plain(wrap([]Run{T("(P 95-97)")}, 12, TextPt)), "a range is not broken")
	assert.Equal(t, []string{"a", "52\u00a0%¹"}, plain(wrap([]Run{T("a 52\u00a0%"), T("¹")}, 8.5, TextPt)), "a mark stays with its number")
	assert.Equal(t, []string{"at most", "60\u00a0%."}, plain(wrap([]Run{T("at most 60 %.")}, 16, TextPt)), "a unit stays with its number")
	assert.Equal(t, []string{"1.1\u00a0mm,", "2 more"}, plain(wrap([]Run{T("1.1 mm, 2 more")}, 14, TextPt)))
	assert.Empty(t, wrap(nil, 10, TextPt))
}

func TestPagesAreNumbered(t *testing.T) {
	d := composed(t, func(d *Doc) {
		for range 3 {
			d.NewPage()
			d.Para(12, nil, T("text"))
		}
	})
	require.Equal(t, 3, d.Pages())
	for i := range 3 {
		assert.True(t, has(d, i+1, fmt.Sprintf("page %d of 3", i+1)))
	}
}

func has(d *Doc, page int, text string) bool {
	for _, b := range d.Boxes() {
		if b.Page == page && strings.Contains(b.Text, text) {
			return true
		}
	}
	return false
}

// A table of 120 rows repeats its header and the head of the group at hand on
// every page, and each row stands on exactly one.
func TestTablesRepeatTheirHeads(t *testing.T) {
	d := composed(t, func(d *Doc) {
		tab := Table{ID: "x", Title: "Long", Columns: []Column{{Head: "Header"}, {Head: "N", W: 20, Right: true}}}
		tab.Rows = append(tab.Rows, Row{Full: []Run{B("Group head")}})
		for i := range 120 {
			tab.Rows = append(tab.Rows, Row{Cells: []Cell{{Text: fmt.Sprintf("row %03d", i)}, {Text: "1"}}})
		}
		d.Table(tab)
	})
	require.Equal(t, 3, d.Pages())
	for p := 1; p <= 3; p++ {
		assert.True(t, has(d, p, "Header"), "page %d", p)
		assert.True(t, has(d, p, "Group head"), "page %d", p)
	}
	for i := range 120 {
		n := 0
		for _, b := range d.Boxes() {
			if b.Text == fmt.Sprintf("row %03d", i) {
				n++
			}
		}
		assert.Equal(t, 1, n, "row %d", i)
	}
}

// A group head never stands alone at the foot of a page.
func TestGroupHeadStaysWithItsRows(t *testing.T) {
	for fill := 40; fill < 56; fill++ {
		d := composed(t, func(d *Doc) {
			tab := Table{Columns: []Column{{Head: "h"}}}
			for range fill {
				tab.Rows = append(tab.Rows, Row{Cells: []Cell{{Text: "x"}}})
			}
			tab.Rows = append(tab.Rows, Row{Full: []Run{B("GROUP")}, Gap: true}, Row{Cells: []Cell{{Text: "FIRST"}}})
			d.Table(tab)
		})
		for p := 1; p <= d.Pages(); p++ {
			assert.Equal(t, has(d, p, "GROUP"), has(d, p, "FIRST"), "%d rows before", fill)
		}
	}
}

// No line of a paragraph stands alone at the foot or the head of a page.
func TestParagraphsAreNotLeftWithOneLine(t *testing.T) {
	for lines := 2; lines <= 6; lines++ {
		for fill := 44; fill < 58; fill++ {
			d := composed(t, func(d *Doc) {
				for range fill {
					d.Para(12, nil, T("fill"))
				}
				d.indented("9", 6, d.Span(12)-6, nil, []Run{T(strings.TrimSpace(strings.Repeat(strings.Repeat("w", 70)+" ", lines)))})
			})
			on := map[int]int{}
			for _, b := range d.Boxes() {
				on[b.Page] += strings.Count(b.Text, strings.Repeat("w", 70))
			}
			for p := 1; p <= d.Pages(); p++ {
				assert.NotEqual(t, 1, on[p], "%d lines after %d: page %d", lines, fill, p)
				assert.Equal(t, on[p] > 0 && on[p-1] == 0, has(d, p, "9"), "the mark stands by the first line")
			}
		}
	}
}

// A page never begins with the last row of a table alone.
func TestLastRowsOfATableStayTogether(t *testing.T) {
	for fill := 40; fill < 60; fill++ {
		d := composed(t, func(d *Doc) {
			tab := Table{Columns: []Column{{Head: "h"}}, Below: []Run{{Text: "BELOW", Muted: true}}}
			for range fill {
				tab.Rows = append(tab.Rows, Row{Cells: []Cell{{Text: "x"}}})
			}
			tab.Rows = append(tab.Rows, Row{Cells: []Cell{{Text: "LAST BUT ONE"}}}, Row{Cells: []Cell{{Text: "VERY LAST"}}})
			d.Table(tab)
		})
		for p := 1; p <= d.Pages(); p++ {
			assert.Equal(t, has(d, p, "LAST BUT ONE"), has(d, p, "VERY LAST"), "%d rows before", fill)
			assert.Equal(t, has(d, p, "BELOW"), has(d, p, "VERY LAST"), "%d rows before", fill)
		}
	}
}

func TestRowTallerThanAPageIsBroken(t *testing.T) {
	d := composed(t, func(d *Doc) {
		d.Table(Table{Columns: []Column{{Head: "h", W: 20}}, Rows: []Row{{Cells: []Cell{{Text: strings.Repeat("word ", 400)}}}}})
	})
	n := 0
	for _, b := range d.Boxes() {
		n += strings.Count(b.Text, "word")
		assert.LessOrEqual(t, b.Box.Y+b.Box.H, A4.H-Margin+0.1)
	}
	assert.Equal(t, 400, n)
	assert.Greater(t, d.Pages(), 1)
}

func TestFootnotesAreSharedAndCarriedOver(t *testing.T) {
	d := composed(t, func(d *Doc) {
		a, b := d.Note("first"), d.Note("second")
		assert.Equal(t, a, d.Note("first"), "one text, one number")
		d.Para(12, []int{a, b, a}, T("x"), Run{marks: []int{a, b}})
		d.NewPage()
		d.Para(12, []int{b}, T("y"), Run{marks: []int{b}})
	})
	assert.True(t, has(d, 1, "first") && has(d, 1, "second"))
	assert.True(t, has(d, 2, "second") && !has(d, 2, "first"))
}

func TestUnprintableCharactersAreCounted(t *testing.T) {
	d := composed(t, func(d *Doc) { d.Para(12, nil, T("😀漢 ok")) })
	assert.Equal(t, 2, d.Unprintable())
	assert.True(t, has(d, 1, "\uFFFD\uFFFD ok"))
	var b bytes.Buffer
	require.NoError(t, d.Write(&b))
}

// A block with more footnotes than a page holds: they go on at the foot of the
// next pages, each once, none over the text.
func TestFootnotesThatDoNotFitGoOn(t *testing.T) {
	d := composed(t, func(d *Doc) {
		var ids []int
		for i := range 170 {
			ids = append(ids, d.Note(fmt.Sprintf("note %03d", i)))
		}
		d.Table(Table{Columns: []Column{{Head: "h"}}, Rows: []Row{{Cells: []Cell{{Text: "x", Notes: ids}}}}})
	})
	assert.Equal(t, 3, d.Pages())
	last := -1
	for _, b := range d.Boxes() {
		var n int
		if _, err := fmt.Sscanf(b.Text, "note %03d", &n); err == nil {
			assert.Equal(t, last+1, n)
			last = n
		}
	}
	assert.Equal(t, 169, last)
}

// A footnote needs room on the page of its mark: near the foot of a page the
// paragraph moves on with it.
func TestParagraphMovesOnWithItsFootnote(t *testing.T) {
	for lines := 40; lines < 56; lines++ {
		d := composed(t, func(d *Doc) {
			d.Para(12, nil, T("first"))
			d.Space(float64(lines))
			d.Para(12, []int{d.Note("the note")}, T("MARKED"))
		})
		for p := 1; p <= d.Pages(); p++ {
			assert.Equal(t, has(d, p, "MARKED"), has(d, p, "the note"), "%d lines before", lines)
		}
	}
}

// Marks that stand together are in the order of the notes, whatever the order in which a
// cell has them.
func TestMarksStandInOrder(t *testing.T) {
	_, err := Compose(A4, Meta{}, func(d *Doc) {
		first, second := d.Note("one"), d.Note("two")
		assert.Equal(t, string(alphabet[:1]), d.letters([]int{first}))
		assert.Equal(t, string(alphabet[:2]), d.letters([]int{second, first}))
	})
	require.NoError(t, err)
}
