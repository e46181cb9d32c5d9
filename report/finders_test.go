package report

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/report/chart"
	"shortfall/report/document"
	"shortfall/report/paper"
	"shortfall/report/section"
)

// The finders look over a document as drawn and name what a reader would stumble
// on. Each has a flawed document below that it must find.

// leaving lists texts outside the margins.
func leaving(d *paper.Doc, size paper.Size) (found []string) {
	const slack = 0.3
	for _, a := range d.Boxes() {
		if x, y := a.Box.X, a.Box.Y; x < paper.Margin-slack || y < paper.Margin-slack || x+a.Box.W > size.W-paper.Margin+slack || y+a.Box.H > size.H-paper.Margin+slack {
			found = append(found, fmt.Sprintf("page %d: %q leaves the margins", a.Page, a.Text))
		}
	}
	return found
}

// overlapping lists texts that share more than a quarter of a millimetre.
func overlapping(d *paper.Doc) (found []string) {
	boxes := d.Boxes()
	for i, a := range boxes {
		for _, b := range boxes[i+1:] {
			if b.Page == a.Page && overlap(a.Box, b.Box) > 0.25 {
				found = append(found, fmt.Sprintf("page %d: %q and %q overlap", a.Page, a.Text, b.Text))
			}
		}
	}
	return found
}

// overlap is the smaller side of what two boxes share, in mm; the last third of
// a millimetre of a line's height is white.
func overlap(a, b chart.Box) float64 {
	w := math.Min(a.X+a.W, b.X+b.W) - math.Max(a.X, b.X)
	h := math.Min(a.Y+a.H, b.Y+b.H) - math.Max(a.Y, b.Y) - 0.35
	return math.Min(w, h)
}

// cut lists texts that were shortened.
func cut(d *paper.Doc) (found []string) {
	for _, b := range d.Boxes() {
		if strings.HasSuffix(b.Text, "…") {
			found = append(found, fmt.Sprintf("page %d: %q is cut", b.Page, b.Text))
		}
	}
	return found
}

// endsOpen and opensLate are the ends of lines that stand within an interval or a word.
var endsOpen, opensLate = regexp.MustCompile(`\d to$|\d \($|CI$|\pL{3}-$`), regexp.MustCompile(`^(to [−+]?\d|[−+]?\d+\)$)`)

// broken lists lines that end or begin within a number, its unit or its interval.
func broken(d *paper.Doc) (found []string) {
	before := paper.Placed{}
	for _, b := range d.Boxes() {
		text := strings.TrimSpace(strings.ReplaceAll(b.Text, "\u00a0", " "))
		below := b.Page == before.Page && math.Abs(b.Box.X-before.Box.X) < 1 && b.Box.Y > before.Box.Y+2 && b.Box.Y < before.Box.Y+12
		unit := below && regexp.MustCompile(`\d$`).MatchString(before.Text) && !strings.HasPrefix(before.Text, "Figure") && regexp.MustCompile(`^(%|°|mm\b)`).MatchString(text)
		if (endsOpen.MatchString(text) || opensLate.MatchString(text) || unit) && text != "95 % CI" {
			found = append(found, fmt.Sprintf("page %d: %q is broken within a number or a word", b.Page, b.Text))
		}
		before = b
	}
	return found
}

// ungroupedIn finds a count of a thousand or more without a space between its thousands.
var ungroupedIn = regexp.MustCompile(`(^|[^0-9.])[0-9]{4,}[ \x{00a0}](movement|case|row|attachment|patient|teeth|of)`)

func ungrouped(d *paper.Doc) (found []string) {
	for _, b := range d.Boxes() {
		if ungroupedIn.MatchString(b.Text) {
			found = append(found, fmt.Sprintf("page %d: thousands of %q", b.Page, b.Text))
		}
	}
	return found
}

// label is the line below the title of a figure or table.
var label = regexp.MustCompile(`^(Figure|Table)\x{00a0}\d+( · |$)`)

// orphaned lists captions and headings at the foot of a page whose figure, table or
// section is on the next.
func orphaned(d *paper.Doc) (found []string) {
	boxes := d.Boxes()
	text := chart.Text{Text: "x", Size: chart.TextSize}.Bounds().H
	for i, b := range boxes {
		if !label.MatchString(b.Text) && b.Box.H < text+0.2 || b.Box.X > paper.Margin+0.01 {
			continue
		}
		// What comes next is drawn next, or else the notes and the foot of the page.
		if next := boxes[i+1]; next.Page != b.Page || strings.HasPrefix(next.Text, "page ") || strings.Trim(next.Text, letters) == "" && next.Box.X < paper.Margin+0.01 {
			found = append(found, fmt.Sprintf("page %d: %q stands alone", b.Page, b.Text))
		}
	}
	return found
}

// emptyParts lists pages with an empty band of so much of their height; the last
// page only where it is asked for.
func emptyParts(d *paper.Doc, size paper.Size, share float64, lastToo bool) (found []string) {
	pages := map[int][]chart.Box{}
	for _, b := range d.Boxes() {
		pages[b.Page] = append(pages[b.Page], b.Box)
	}
	for p := 1; p <= d.Pages(); p++ {
		if p == d.Pages() && !lastToo {
			continue
		}
		boxes := slices.SortedFunc(slices.Values(pages[p]), func(a, b chart.Box) int { return cmp.Compare(a.Y, b.Y) })
		at, gap := paper.Margin, 0.0
		for _, b := range boxes {
			gap, at = math.Max(gap, b.Y-at), math.Max(at, b.Y+b.H)
		}
		if gap > share*(size.H-2*paper.Margin) {
			found = append(found, fmt.Sprintf("page %d of %d: %.0f mm are empty", p, d.Pages(), gap))
		}
	}
	return found
}

// emptyCells lists the columns of the tables of a full report that say nothing.
func emptyCells(t *testing.T, r *results.Results) []string {
	t.Helper()
	d, err := section.Document(r, section.Full)
	require.NoError(t, err)
	return emptyColumns(d)
}

func emptyColumns(d *document.Document) (found []string) {
	d.Walk(func(b document.Block, _ int) {
		t, ok := b.(document.Table)
		if !ok || t.ToFill {
			return
		}
		for i, c := range t.Columns {
			said := false
			for _, row := range t.Rows {
				said = said || i < len(row.Cells) && !document.Nothing(row.Cells[i].Text)
			}
			if !said {
				found = append(found, fmt.Sprintf("%s: column %q says nothing", t.Title, c.Title))
			}
		}
	})
	return found
}

// flawed draws texts where they are put.
type flawed []chart.Text

func (f flawed) Draw(w float64) *chart.Figure {
	out := &chart.Figure{W: w, H: 60}
	for _, t := range f {
		t.Size = chart.TextSize
		out.Items = append(out.Items, t)
	}
	return out
}

func flawedDoc(t *testing.T, blocks ...document.Block) *paper.Doc {
	t.Helper()
	d, err := paper.Layout(paper.A4, &document.Document{Title: "t", Lang: "en", Sections: []document.Section{{Title: "Section", Blocks: blocks}, {Title: "Next", Apart: true, Blocks: []document.Block{document.Para{Text: document.Words("end")}}}}})
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, d.Write(&b))
	return d
}

func figureOf(texts ...chart.Text) document.Figure {
	return document.Figure{ID: "f", Title: "Figure", Desc: "d", Drawings: []document.Drawing{flawed(texts)}}
}

// Each finder finds its own flaw, and nothing in a sound page.
func TestFindersFind(t *testing.T) {
	at := func(x, y float64, s string) chart.Text { return chart.Text{At: chart.Point{X: x, Y: y}, Text: s} }
	sound := flawedDoc(t, figureOf(at(0, 10, "+14 (−9 to +20)"), at(60, 10, "right"), at(0, 20, "5\u2009048 movements")))
	assert.Empty(t, slices.Concat(leaving(sound, paper.A4), overlapping(sound), cut(sound), broken(sound), orphaned(sound), ungrouped(sound)))
	for name, c := range map[string]struct {
		d    *paper.Doc
		find func(*paper.Doc) []string
	}{
		"leaves":   {flawedDoc(t, figureOf(at(170, 10, "too far right"))), func(d *paper.Doc) []string { return leaving(d, paper.A4) }},
		"overlaps": {flawedDoc(t, figureOf(at(0, 10, "one text"), at(8, 11, "another"))), overlapping},
		"cut":      {flawedDoc(t, figureOf(at(0, 10, "shorten…"))), cut},
		"interval": {flawedDoc(t, figureOf(at(0, 10, "14 (−9 to"), at(0, 20, "+20)"))), broken},
		"word":     {flawedDoc(t, figureOf(at(0, 10, "clinician-"), at(0, 20, "designed"))), broken},
		"unit":     {flawedDoc(t, figureOf(at(0, 10, "52"), at(0, 20, "% of the plan"))), broken},
		"limit":    {flawedDoc(t, figureOf(at(0, 10, "to 20 of them"))), broken},
		"grouped":  {flawedDoc(t, figureOf(at(0, 10, "5048 movements"))), ungrouped},
		"orphan":   {flawedDoc(t, figureOf(at(0, 10, "Table\u00a09"))), orphaned},
		"heading":  {flawedDoc(t, figureOf(at(0, 10, "text")), document.Section{Title: "Alone"}), orphaned},
		"empty":    {flawedDoc(t, figureOf(at(0, 10, "alone"))), func(d *paper.Doc) []string { return emptyParts(d, paper.A4, 0.25, false) }},
	} {
		assert.NotEmpty(t, c.find(c.d), name)
	}
	two := []document.Column{{Title: "Name"}, {Title: "Value", Number: true}, {Title: "Why"}}
	row := func(cells ...string) (r document.Row) {
		for _, s := range cells {
			r.Cells = append(r.Cells, document.Cell{Text: s})
		}
		return r
	}
	doc := func(rows ...document.Row) *document.Document {
		return &document.Document{Sections: []document.Section{{Title: "s", Blocks: []document.Block{document.Table{Title: "T", Columns: two, Rows: rows}}}}}
	}
	assert.Empty(t, emptyColumns(doc(row("a", "–", "x"), row("b", "2", ""))))
	assert.Equal(t, []string{`T: column "Value" says nothing`}, emptyColumns(doc(row("a", "–", "x"), row("b", "0 v 91", "y"))))
}
