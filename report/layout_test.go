package report

import (
	"cmp"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/report/paper"
)

// laidOut composes every fixture on both sheets, once for all tests.
var laidOut = sync.OnceValue(func() map[string]*paper.Doc {
	out := map[string]*paper.Doc{}
	for name, r := range fixtures() {
		for _, size := range []paper.Size{paper.A4, paper.Letter} {
			d, err := compose(r, Options{Paper: size})
			if err != nil {
				panic(err)
			}
			out[name+" "+size.Name] = d
		}
	}
	return out
})

// eachPage hands out the text boxes of each page of every fixture, as drawn.
func eachPage(t *testing.T, check func(t *testing.T, size paper.Size, page int, boxes []paper.Placed)) {
	t.Helper()
	for name, d := range laidOut() {
		t.Run(name, func(t *testing.T) {
			size := paper.A4
			if strings.HasSuffix(name, paper.Letter.Name) {
				size = paper.Letter
			}
			pages := make([][]paper.Placed, d.Pages())
			for _, b := range d.Boxes() {
				pages[b.Page-1] = append(pages[b.Page-1], b)
			}
			for i, boxes := range pages {
				check(t, size, i+1, boxes)
			}
		})
	}
}

func TestNoTextLeavesTheMargins(t *testing.T) {
	const slack = 0.3 // mm: the last digit of a width
	eachPage(t, func(t *testing.T, size paper.Size, page int, boxes []paper.Placed) {
		for _, b := range boxes {
			x, y := b.Box.X, b.Box.Y
			if x < paper.Margin-slack || y < paper.Margin-slack || x+b.Box.W > size.W-paper.Margin+slack || y+b.Box.H > size.H-paper.Margin+slack {
				t.Errorf("page %d: %q at %.1f, %.1f, %.1f wide", page, b.Text, x, y, b.Box.W)
			}
		}
	})
}

func TestNoTextOverlapsAnother(t *testing.T) {
	const slack = 0.25 // mm by which boxes may touch
	eachPage(t, func(t *testing.T, _ paper.Size, page int, boxes []paper.Placed) {
		boxes = slices.SortedFunc(slices.Values(boxes), func(a, b paper.Placed) int { return cmp.Compare(a.Box.Y, b.Box.Y) })
		for i, a := range boxes {
			for _, b := range boxes[i+1:] {
				if b.Box.Y > a.Box.Y+a.Box.H {
					break
				}
				w := math.Min(a.Box.X+a.Box.W, b.Box.X+b.Box.W) - math.Max(a.Box.X, b.Box.X)
				h := math.Min(a.Box.Y+a.Box.H, b.Box.Y+b.Box.H) - math.Max(a.Box.Y, b.Box.Y)
				if w > slack && h > slack {
					t.Errorf("page %d: %q and %q share %.1f × %.1f mm", page, a.Text, b.Text, w, h)
				}
			}
		}
	})
}

// marks are footnote numbers at the end of a text, footnotes those that stand
// alone at the left margin.
var superior = regexp.MustCompile(`[⁰¹²³⁴⁵⁶⁷⁸⁹]+`)

func TestEveryMarkHasItsFootnoteOnThePage(t *testing.T) {
	eachPage(t, func(t *testing.T, _ paper.Size, page int, boxes []paper.Placed) {
		if strings.Contains(t.Name(), "many_warnings") {
			return // there the foot of one page cannot hold what one block needs; see the next test
		}
		var marks, feet []string
		for _, b := range boxes {
			found := superior.FindAllString(b.Text, -1)
			if len(found) == 1 && found[0] == b.Text && math.Abs(b.Box.X-paper.Margin) < 0.01 {
				feet = append(feet, b.Text)
				continue
			}
			marks = append(marks, found...)
		}
		for _, m := range marks {
			assert.Contains(t, feet, m, "page %d: mark without a footnote", page)
		}
		for _, f := range feet {
			assert.Contains(t, marks, f, "page %d: footnote without a mark", page)
		}
	})
}

// Where a page cannot hold all notes they go on at the foot of the next ones:
// none is lost.
func TestNoFootnoteIsLost(t *testing.T) {
	for _, size := range []paper.Size{paper.A4, paper.Letter} {
		text := allText(laidOut()["many warnings "+size.Name])
		for i := range 37 {
			assert.Contains(t, text, fmt.Sprintf("Warning number %d on", i))
		}
	}
}

func allText(d *paper.Doc) string {
	var parts []string
	for _, b := range d.Boxes() {
		parts = append(parts, b.Text)
	}
	return strings.Join(parts, "\n")
}

func TestFootnotesAreNumberedInOrderOfFirstUse(t *testing.T) {
	d, err := compose(practice(), Options{})
	require.NoError(t, err)
	seen := []string{}
	for _, b := range d.Boxes() {
		if superior.FindString(b.Text) == b.Text && math.Abs(b.Box.X-paper.Margin) < 0.01 && !slices.Contains(seen, b.Text) {
			seen = append(seen, b.Text)
		}
	}
	require.Greater(t, len(seen), 5)
	assert.Equal(t, []string{"¹", "²", "³", "⁴", "⁵", "⁶"}, seen[:6])
}

func TestReadingOrderOfTheSections(t *testing.T) {
	d, err := compose(practice(), Options{})
	require.NoError(t, err)
	text := allText(d)
	at := -1
	for _, head := range []string{
		"Clear aligners: planned and achieved tooth movement", "Clinical audit / service evaluation, retrospective observational, 2025 Q1 to 2026 Q2",
		"What was found", "What to do next", "Cautions.", "Who is in it", "What was expressed", "Did the feature choice matter", "What it cost",
		"Data quality and method error", "Methods", "Definitions", "Limitations", "Settings", "Provenance", "Tables behind the figures",
	} {
		i := strings.Index(text, head)
		require.Greater(t, i, at, head)
		at = i
	}
}

// The summary is one page: what to do next and the cautions stand on it too.
func TestSummaryIsOnePage(t *testing.T) {
	d, err := compose(practice(), Options{})
	require.NoError(t, err)
	first := ""
	for _, b := range d.Boxes() {
		if b.Page == 1 {
			first += b.Text + "\n"
		}
	}
	for _, s := range []string{"What to do next", "Cautions.", "Figure\u00a01", "page 1 of"} {
		assert.Contains(t, first, s)
	}
}

// Verdicts come from the results: turning one over turns the page over.
func TestReportDecidesNothing(t *testing.T) {
	r := practice()
	bold := func() string {
		d, err := compose(r, Options{})
		require.NoError(t, err)
		return allText(d)
	}
	for i := range r.Comparisons {
		if r.Comparisons[i].Verdict == results.Higher || r.Comparisons[i].Verdict == results.Lower {
			r.Comparisons[i].Verdict = results.NotDistinguishable
		}
	}
	text := bold()
	assert.Contains(t, text, "None: no cell's interval leaves out zero")
	assert.Contains(t, text, "higher in 0, lower in 0")
}

// A cell below the level of all teeth is called exploratory, or is the primary one.
func TestFinerCellsAreExploratory(t *testing.T) {
	r := sample()
	n := 0
	for _, c := range r.Comparisons {
		if highlighted(c) && !allTeeth(c.By) && !c.Primary {
			n++
		}
	}
	require.Positive(t, n)
	d, err := compose(r, Options{})
	require.NoError(t, err)
	text := strings.ReplaceAll(allText(d), "\n", " ")
	assert.Contains(t, text, fmt.Sprintf("Exploratory: %d of ", n))
	for _, s := range r.Questions.CaseMix.Sensitivity {
		teeth := strings.Split(s.Reading, ",")[0]
		assert.Equal(t, allTeeth(s.By) || s.By == r.Provenance.Settings.Primary, !strings.Contains(text, "Exploratory: "+lowerFirst(teeth)), s.Reading)
	}
}

func TestSuppressedNumbersAreNotPrinted(t *testing.T) {
	r := practice()
	for i := range r.Expression {
		c := &r.Expression[i]
		c.Suppressed, c.Cases, c.Movements, c.Estimate = true, 4242, 4242, 0.4242
	}
	d, err := compose(r, Options{})
	require.NoError(t, err)
	text := allText(d)
	assert.NotContains(t, text, "4242")
	assert.NotContains(t, text, "4\u2009242")
	assert.Contains(t, text, tooFew)
}
