package paper

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/report/chart"
	"shortfall/report/document"
	"shortfall/report/typeface"
)

// tall is a drawing of a height that can be pressed by 5 mm a level, to half.
type tall struct{ h, least float64 }

func (s tall) Draw(w float64) *chart.Figure {
	return &chart.Figure{Title: "tall", Desc: "tall", W: w, H: s.h, Items: []chart.Item{
		chart.Text{At: chart.Point{X: 0, Y: 4}, Text: "top", Size: TextPt},
		chart.Text{At: chart.Point{X: 0, Y: s.h - 1}, Text: "bottom", Size: TextPt},
	}}
}

func (s tall) Tight(level int) chart.Drawing {
	s.h = max(s.h-5*float64(level), s.least)
	return s
}

func tallFigure(id string, h, least float64) document.Figure {
	return document.Figure{ID: id, Title: "Figure " + id, Desc: "d", Drawings: []document.Drawing{tall{h, least}}}
}

// pageOf is the page on which a text stands.
func pageOf(d *Doc, text string) int {
	for _, b := range d.Boxes() {
		if b.Text == text {
			return b.Page
		}
	}
	return 0
}

// A figure of a section that follows on another's page is pressed rather than leave a
// quarter of that page empty; one that does not fit pressed either stays as it is, on
// the next page.
func TestFigureIsPressedOntoTheRestOfAPage(t *testing.T) {
	lay := func(least float64) *Doc {
		return laidDoc(t,
			document.Section{ID: "a", Title: "First", Compact: true, Blocks: []document.Block{tallFigure("one", 130, 130)}},
			document.Section{ID: "b", Title: "Second", Apart: true, Follow: true, Compact: true, Single: true, Blocks: []document.Block{
				document.Para{Text: document.Words("Text of the second.")}, tallFigure("two", 90, least),
			}})
	}
	d := lay(60)
	assert.Equal(t, 1, pageOf(d, "Second"))
	assert.Equal(t, 1, pageOf(d, "Figure two"), "pressed to fit")
	assert.Equal(t, 1, d.Pages())
	d = lay(90)
	assert.Equal(t, 1, pageOf(d, "Second"))
	assert.Equal(t, 2, pageOf(d, "Figure two"))
}

// With less than a quarter of a page left, a section follows where its text finds room
// up to its first figure, and else begins a page of its own.
func TestSectionFollowsWhereItsTextFits(t *testing.T) {
	lay := func(words int) *Doc {
		return laidDoc(t,
			document.Section{ID: "a", Title: "First", Compact: true, Blocks: []document.Block{tallFigure("one", 180, 180)}},
			document.Section{ID: "b", Title: "Second", Apart: true, Follow: true, Compact: true, Single: true, Blocks: []document.Block{
				document.Para{Text: document.Words(strings.Repeat("words ", words))}, tallFigure("two", 90, 90),
			}})
	}
	assert.Equal(t, 1, pageOf(lay(20), "Second"))
	assert.Equal(t, 2, pageOf(lay(400), "Second"))
}

// A head is broken into lines of like length, not one more than it needs.
func TestHeadsHaveNoWordAlone(t *testing.T) {
	const head = "Plans fell short most in buccal torque of molars and intrusion of molars; none is clinician designed"
	for _, w := range []float64{174, 150, 120} {
		lines, plain := balanced(head, w, TitlePt), wrapPlain(head, w, TitlePt, true)
		assert.Len(t, lines, len(plain))
		assert.Equal(t, strings.Fields(head), strings.Fields(strings.Join(lines, " ")))
		last := typeface.Width(lines[len(lines)-1], TitlePt, true)
		assert.GreaterOrEqual(t, last, typeface.Width(plain[len(plain)-1], TitlePt, true))
		assert.Greater(t, last, 0.3*w, "%q", lines)
	}
}

// A section that wants one page is pressed until it has it; one that takes more all the
// same is not pressed at all.
func TestWhatCannotBeOnePageIsNotPressed(t *testing.T) {
	lay := func(least float64) *Doc {
		return laidDoc(t, document.Section{ID: "a", Title: "First", Compact: true, Single: true, Blocks: []document.Block{tallFigure("one", 130, least), tallFigure("two", 130, least)}})
	}
	d := lay(60)
	assert.Equal(t, 1, d.Pages())
	d = lay(125)
	assert.Equal(t, 2, d.Pages())
	top, bottom := 0.0, 0.0
	for _, b := range d.Boxes() {
		switch {
		case b.Page == 1 && b.Text == "top":
			top = b.Box.Y
		case b.Page == 1 && b.Text == "bottom":
			bottom = b.Box.Y
		}
	}
	assert.InDelta(t, 125, bottom-top, 1e-6, "as high as it was drawn")
}
