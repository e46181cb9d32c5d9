package paper

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/report/chart"
	"shortfall/report/document"
)

func laidDoc(t *testing.T, sections ...document.Section) *Doc {
	t.Helper()
	d, err := Layout(A4, &document.Document{
		Title: "A <title> & more", Subject: "subject", Author: "practice MQ", Creator: "test", Lang: "en-GB", Date: time.Unix(0, 0), Foot: "foot", Sections: sections,
	})
	require.NoError(t, err)
	return d
}

func note(i int) document.Note { return document.Note{Text: fmt.Sprintf("Remark number %d.", i)} }

func numbers(rows int) document.Table {
	t := document.Table{ID: "t", Title: "Numbers say it", Columns: []document.Column{{Title: "Movement"}, {Title: "Cases of either style", Number: true}, {Title: "Estimate (95\u00a0% CI)", Number: true}, {Title: "Why"}}}
	for i := range rows {
		c := document.Cell{Text: "+14 (−9 to +20)"}
		if i%7 == 3 {
			c.Notes = []document.Note{note(i), note(1000)}
		}
		t.Rows = append(t.Rows, document.Row{Cells: []document.Cell{{Text: fmt.Sprintf("row %d", i)}, {Text: "1\u2009234"}, c, {Text: strings.Repeat("words and more ", 9)}}})
	}
	return t
}

// Notes are letters that begin anew on every page, in order of reading, and the
// note stands on the page of its mark.
func TestNotesAreLettersOfTheirPage(t *testing.T) {
	d := laidDoc(t, document.Section{ID: "s", Title: "Section", Blocks: []document.Block{numbers(60)}})
	require.Greater(t, d.Pages(), 2)
	for p := 1; p <= d.Pages(); p++ {
		var marks, feet []string
		for _, b := range d.Boxes() {
			if b.Page != p || strings.Trim(b.Text, string(alphabet)) != "" {
				continue
			}
			if b.Box.X < Margin+0.01 {
				feet = append(feet, b.Text)
			} else {
				marks = append(marks, b.Text)
			}
		}
		require.NotEmpty(t, feet, "page %d", p)
		var in []string
		seen := map[rune]bool{}
		for _, m := range marks {
			for _, r := range m {
				if !seen[r] {
					seen[r] = true
					in = append(in, string(r))
				}
			}
		}
		assert.Equal(t, feet, in, "page %d: in order of reading", p)
		assert.Equal(t, "ᵃ", feet[0])
	}
}

// A column of numbers is as wide as its widest cell: no interval is broken.
func TestNumbersAreNotBroken(t *testing.T) {
	d := laidDoc(t, document.Section{Title: "Section", Blocks: []document.Block{numbers(9)}})
	n := 0
	for _, b := range d.Boxes() {
		if b.Text == "+14 (−9\u00a0to\u00a0+20)" {
			n++
		}
	}
	assert.Equal(t, 9, n)
}

type bars struct{ n int }

func (b bars) Draw(w float64) *chart.Figure {
	f := &chart.Figure{Title: "bars", Desc: "bars", W: w, H: float64(b.n) * 10}
	for i := range b.n {
		f.Items = append(f.Items, chart.Text{At: chart.Point{X: 0, Y: float64(i)*10 + 5}, Text: fmt.Sprintf("bar %d of %d", i, b.n), Size: 9, Notes: []int{0}})
	}
	return f
}
func (b bars) Parts() int                         { return b.n }
func (b bars) Part(from, to int) document.Drawing { return bars{to - from} }

func TestFiguresGoOnUnderTheirCaption(t *testing.T) {
	d := laidDoc(t, document.Section{ID: "s", Title: "Section", Blocks: []document.Block{
		document.Para{Text: document.Join(document.Words("See "), document.Ref("f"), document.Words(" and "), document.Ref("ahead"))},
		document.Figure{ID: "f", Title: "Bars", Desc: "bars", Drawings: []document.Drawing{bars{40}}, Notes: []document.Note{note(1)}},
		document.Table{ID: "ahead", Title: "A table", Columns: []document.Column{{Title: "a"}, {Title: "b"}}, Rows: []document.Row{{Cells: []document.Cell{{Text: "x"}, {Text: "1"}}}}},
	}})
	require.Equal(t, 2, d.Pages())
	assert.True(t, has(d, 1, "Figure\u00a01,\u00a0page\u00a01"))
	assert.True(t, has(d, 1, "Table\u00a01,\u00a0page\u00a02"), "the page of what comes later is known")
	assert.True(t, has(d, 2, "Figure\u00a01, continued"))
	assert.True(t, has(d, 2, "Remark number 1."), "the note is on either page")
}

// Other programs read the file: qpdf finds no damage, the catalogue has the
// metadata and asks for the title, and pdfinfo reads the same title.
func TestCatalogIsComplete(t *testing.T) {
	d := laidDoc(t, document.Section{ID: "s", Title: "Section", Blocks: []document.Block{numbers(3)}})
	var b bytes.Buffer
	require.NoError(t, d.Write(&b))
	assert.Contains(t, b.String(), "/DisplayDocTitle true")
	assert.Contains(t, b.String(), "A &lt;title&gt; &amp; more")
	file := filepath.Join(t.TempDir(), "a.pdf")
	require.NoError(t, os.WriteFile(file, b.Bytes(), 0o600))
	for _, c := range [][]string{{"qpdf", "--check", file}, {"pdfinfo", "-meta", file}} {
		if _, err := exec.LookPath(c[0]); err != nil {
			t.Logf("%s is not installed (apt: qpdf, poppler-utils): not checked with it", c[0])
			continue
		}
		out, err := exec.Command(c[0], c[1:]...).CombinedOutput()
		require.NoError(t, err, string(out))
		if c[0] == "pdfinfo" {
			assert.Contains(t, string(out), "A &lt;title&gt; &amp; more")
		}
	}
}

func TestLayoutRefusesWhatDoesNotHold(t *testing.T) {
	_, err := Layout(A4, &document.Document{Title: "t", Lang: "en", Sections: []document.Section{{Title: "s", Blocks: []document.Block{
		document.Para{Text: document.Ref("nowhere")},
		document.Table{ID: "e", Title: "Empty", Columns: []document.Column{{Title: "a"}, {Title: "b"}}, Rows: []document.Row{{Cells: []document.Cell{{Text: "x"}, {Text: "0 v 91"}}}}},
	}}}})
	require.Error(t, err)
	assert.Contains(t, err.Error(), `"nowhere"`)
	assert.Contains(t, err.Error(), "says nothing")
}
