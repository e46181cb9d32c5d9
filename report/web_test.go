package report_test

import (
	"bytes"
	"encoding/hex"
	"fmt"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"shortfall/report/chart"
	"shortfall/report/document"
	"shortfall/report/web"
)

func sampleDoc() *document.Document {
	n := func(s string) document.Note { return document.Note{Text: s} }
	cell := func(s string, notes ...document.Note) document.Cell { return document.Cell{Text: s, Notes: notes} }
	cols := []document.Column{{Title: "Movement"}, {Title: "Cases", Number: true}, {Title: "Points (95\u00a0% CI)", Number: true}}
	t := document.Table{ID: "numbers", Title: "Numbers <of> it", Columns: cols, Below: document.Quiet("Below it.")}
	for i := range 12 {
		if i%6 == 0 {
			t.Rows = append(t.Rows, document.Row{Group: document.Strong(fmt.Sprintf("Group %d", i/6))})
		}
		t.Rows = append(t.Rows, document.Row{ID: fmt.Sprintf("row-%d", i), Cells: []document.Cell{cell(fmt.Sprintf("row %d", i)), cell("1\u2009234"), cell("+14 (−9 to +20)", n("Few cases."), n(fmt.Sprintf("Note %d.", i%3)))}})
	}
	data := document.Table{Title: "Refinements", Columns: cols[:2], Rows: []document.Row{{Cells: []document.Cell{cell("none"), cell("30")}}}}
	return &document.Document{
		Title: "Audit <script>alert(1)</script>", Subject: "retrospective", Author: "a", Creator: "shortfall", Lang: "en-GB", Date: time.Unix(0, 0), Foot: "invented data",
		Sections: []document.Section{
			{ID: "one", Title: "Clinician-designed attachments went with more extrusion", Over: []string{"practice MQ"}, Blocks: []document.Block{
				document.Para{Role: document.Lead, Text: document.Words("In short.")},
				document.Para{Text: document.Join(document.Words("See "), document.Ref("numbers"), document.Words(" and "), document.Link("row 3", "row-3"), document.Noted(", noted", n("A note of the paragraph.")))},
				document.Para{Role: document.Item, Mark: "1", Text: document.Words("first")},
				document.Para{Role: document.Item, Mark: "2", Text: document.Words("second")},
				document.Figure{ID: "bar", Title: "Most needed one", Desc: "30 none, 20 one.", Sub: document.Quiet("cases"), Data: &data, Drawings: []document.Drawing{chart.Segments{Parts: []chart.Segment{{ID: "0", Title: "none: 30", N: 30, Label: "30 none"}, {ID: "1", Title: "one: 20", N: 20, Label: "20 one"}}}}},
				document.Section{ID: "in", Title: "Inside", Blocks: []document.Block{t, document.Para{Role: document.Caution, Text: document.Words("Association, not cause.")}}},
			}},
			{ID: "two", Title: "Second", Blocks: []document.Block{document.Para{Role: document.Minor, Text: document.Words("Sources.")}}},
		},
	}
}

func written(t *testing.T, d *document.Document) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, web.Write(&b, d))
	return b.String()
}

func TestSameDocumentSameBytes(t *testing.T) {
	assert.Equal(t, written(t, sampleDoc()), written(t, sampleDoc()))
}

// Every link leads somewhere, every id is there once, every note is linked both ways.
func TestLinksHold(t *testing.T) {
	page := written(t, sampleDoc())
	ids := map[string]int{}
	for _, m := range regexp.MustCompile(` id="([^"]+)"`).FindAllStringSubmatch(page, -1) {
		ids[m[1]]++
	}
	for id, n := range ids {
		assert.Equal(t, 1, n, id)
	}
	links := regexp.MustCompile(`href="#([^"]+)"`).FindAllStringSubmatch(page, -1)
	require.Greater(t, len(links), 30)
	for _, m := range links {
		assert.Equal(t, 1, ids[m[1]], "#%s", m[1])
	}
	for _, m := range regexp.MustCompile(`<li id="(n[0-9]+[a-z]+)">`).FindAllStringSubmatch(page, -1) {
		assert.Contains(t, page, `href="#`+m[1]+`"`)
		assert.Contains(t, page, `href="#m`+m[1][1:]+`"`)
	}
}

// Text of a sheet is text on the page, and nothing is fetched.
func TestNothingActiveAndNothingRemote(t *testing.T) {
	page := written(t, sampleDoc())
	assert.NotContains(t, page, "<script>alert")
	assert.Equal(t, 1, strings.Count(page, "<script"))
	assert.NotRegexp(t, `(src|href|url)\s*[=(]\s*["']?(https?:)?//`, page)
	assert.NotContains(t, page, "style=\"", "no style attribute: a content security policy may forbid it")
}

func TestTheTreeIsThere(t *testing.T) {
	doc, err := html.Parse(strings.NewReader(written(t, sampleDoc())))
	require.NoError(t, err)
	count := map[string]int{}
	var walk func(*html.Node)
	walk = func(n *html.Node) {
		if n.Type == html.ElementNode {
			count[n.Data]++
			for _, a := range n.Attr {
				count[n.Data+" "+a.Key+"="+a.Val]++
			}
		}
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			walk(c)
		}
	}
	walk(doc)
	for what, want := range map[string]int{"h1": 1, "h2": 2, "h3": 1, "table": 2, "th scope=rowgroup": 2, "th scope=row": 13, "th scope=col": 5, "caption": 2, "svg": 1, "title": 4, "desc": 1, "details": 1, "main": 1, "html lang=en-GB": 1} {
		assert.Equal(t, want, count[what], what)
	}
}

// A head keeps "software-suggested" in one piece, and says no more and no less for it.
func TestHeadsKeepCompoundsWhole(t *testing.T) {
	assert.Equal(t, `More with <span class="whole">clinician-designed</span> than <span class="whole">software-suggested</span> &lt;b&gt;`, web.HeadWords("More with clinician-designed than software-suggested <b>"))
	assert.Equal(t, "2025-26, mm - °", web.HeadWords("2025-26, mm - °"))
}

// In the dark every colour that a figure puts ink on or draws with has a counterpart of its
// own, and what is written on the ground of a scale can be read (WCAG 2.2, 1.4.3).
func TestColoursOfFiguresHaveTheirDarkOnes(t *testing.T) {
	dark := map[chart.Colour]chart.Colour{}
	for _, m := range regexp.MustCompile(`--c-([0-9a-f]{6}): #([0-9a-f]{6})`).FindAllStringSubmatch(web.Style, -1) {
		var of [2]chart.Colour
		for i := range of {
			b, err := hex.DecodeString(m[i+1])
			require.NoError(t, err)
			of[i] = chart.Colour{R: b[0], G: b[1], B: b[2]}
		}
		dark[of[0]] = of[1]
	}
	for _, c := range []chart.Colour{chart.Ink, chart.Muted, chart.RuleGrey, chart.PaleGrey, chart.GroundGrey, chart.Paper, chart.Blue, chart.Vermilion, chart.Grey, chart.RustInk, chart.PaleMark} {
		assert.Contains(t, dark, c)
	}
	for _, ink := range []chart.Colour{chart.Ink, chart.Muted} {
		assert.GreaterOrEqual(t, chart.Contrast(dark[ink], dark[chart.GroundGrey]), 4.5)
	}
	assert.Less(t, chart.Contrast(dark[chart.GroundGrey], dark[chart.Paper]), 1.5, "a ground, and no mark")
}
