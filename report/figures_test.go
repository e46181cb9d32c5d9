package report_test

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/report/chart"
	"shortfall/report/document"
	"shortfall/report/figures"
	"shortfall/report/section"
	"shortfall/sampledata"
)

func report(t *testing.T) (*results.Results, *document.Document) {
	t.Helper()
	p := sampledata.Default()
	p.Cases = 60
	ds, _ := sampledata.Generate(p, 4)
	r, err := audit.Run(context.Background(), ds, results.DefaultSettings(), "test")
	require.NoError(t, err)
	d, err := section.Document(r, section.Everything)
	require.NoError(t, err)
	return r, d
}

var (
	fileName = regexp.MustCompile(`^[a-z][a-z0-9-]*\.svg$`)
	tag      = regexp.MustCompile(`<text[^>]*>([^<]*)</text>`)
)

// Every figure of the document is a well-formed file named after its id, twice
// the same, and says its title, its practice and the caution.
func TestEveryFigureIsAFile(t *testing.T) {
	r, d := report(t)
	ids := map[string]document.Figure{}
	d.Walk(func(b document.Block, _ int) {
		if f, ok := b.(document.Figure); ok {
			ids[f.ID+figures.Ending] = f
		}
	})
	files, again := figures.Of(d, r.Cautions), figures.Of(d, r.Cautions)
	require.Len(t, files, len(ids))
	require.Greater(t, len(files), 8)
	for i, f := range files {
		assert.Regexp(t, fileName, f.Name)
		var a, b bytes.Buffer
		require.NoError(t, f.Write(&a))
		require.NoError(t, again[i].Write(&b))
		assert.Equal(t, a.String(), b.String(), f.Name)
		for x := xml.NewDecoder(bytes.NewReader(a.Bytes())); ; {
			if _, err := x.Token(); err != nil {
				require.True(t, errors.Is(err, io.EOF), "%s: %v", f.Name, err)
				break
			}
		}
		var text []string
		for _, m := range tag.FindAllStringSubmatch(a.String(), -1) {
			text = append(text, m[1])
		}
		said := strings.Join(text, " ")
		for _, want := range []string{ids[f.Name].Title, "invented data", "association, not cause", "licensed clinician"} {
			assert.Contains(t, said, strings.NewReplacer("'", "&#39;").Replace(want), f.Name)
		}
		assert.NotRegexp(t, `\(\s*;?\s*\)|definition`, said, "%s: a reference that leads nowhere", f.Name)
		assert.True(t, figures.Made(&a, d.Creator), f.Name)
	}
}

type noted struct{}

func (noted) Draw(w float64) *chart.Figure {
	return &chart.Figure{W: w, H: 10, Items: []chart.Item{
		chart.Text{At: chart.Point{X: 1, Y: 5}, Text: "second", Size: 9, Notes: []int{1}},
		chart.Text{At: chart.Point{X: 40, Y: 5}, Text: "first", Size: 9, Notes: []int{0}},
	}}
}

// Notes are lettered in order of reading and stand below, each once.
func TestNotesOfAFigure(t *testing.T) {
	f := document.Figure{
		ID: "f", Title: "Title", Desc: "d", Drawings: []document.Drawing{noted{}}, Notes: []document.Note{{Text: "Note one."}, {Text: "Note two."}},
		Sub: document.Noted("sub", document.Note{Text: "Note of sub."}), Below: document.Join(document.Words("See"), document.Words(" ("), document.Ref("f"), document.Words(")")),
	}
	files := figures.Of(&document.Document{Title: "t", Lang: "en", Creator: "maker 1", Sections: []document.Section{{Title: "s", Blocks: []document.Block{f}}}}, nil)
	require.Len(t, files, 1)
	var b bytes.Buffer
	require.NoError(t, files[0].Write(&b))
	at := -1
	for _, want := range []string{">subᵃ<", ">second<", ">ᵇ<", ">first<", ">ᶜ<", ">See<", ">ᵃ\u00a0Note of sub.<", ">ᵇ\u00a0Note two.<", ">ᶜ\u00a0Note one.<"} {
		i := strings.Index(b.String(), want)
		assert.Greater(t, i, at, want)
		at = max(at, i)
	}
	assert.True(t, figures.Made(bytes.NewReader(b.Bytes()), "maker "))
	assert.False(t, figures.Made(bytes.NewReader(b.Bytes()), "other "))
	assert.False(t, figures.Made(strings.NewReader(`<svg xmlns="x">`), "maker "))
}
