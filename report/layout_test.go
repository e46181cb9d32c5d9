package report

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/report/paper"
	"shortfall/report/section"
)

// long asks for all of what everyday tests do a part of.
var long = os.Getenv("SHORTFALL_LONG") != ""

// everyday is how many of all are looked at: few, all in the long form.
func everyday(all, few int) int {
	if long {
		return all
	}
	return few
}

// sheetsOf gives the sheets for the i-th fixture: by turns one or the other, both in the
// long form.
func sheetsOf(i int) []paper.Size {
	sizes := []paper.Size{paper.A4, paper.Letter}
	if long {
		return sizes
	}
	return sizes[i%2 : i%2+1]
}

// laid composes results that no test changes, once for each form asked for.
func laid(t *testing.T, r *results.Results, o Options) *paper.Doc {
	t.Helper()
	type form struct {
		r *results.Results
		o Options
	}
	once, _ := composedBefore.LoadOrStore(form{r, o}, sync.OnceValues(func() (*paper.Doc, error) { return compose(r, o) }))
	d, err := once.(func() (*paper.Doc, error))()
	require.NoError(t, err)
	return d
}

var composedBefore sync.Map

// differing reports whether a fixture is one of those looked at everyday where each takes
// long: a real audit, nothing at all, and what leaves the practice.
func differing(name string) bool {
	return long || name == "sample data" || name == "empty quarter" || name == "shared"
}

// mostNotes is the fixture with more notes than a page holds.
const mostNotes = "many warnings"

// laidOut composes every fixture, everyday every second one, once for all tests.
var laidOut = sync.OnceValue(func() map[string]*paper.Doc {
	out, all := map[string]*paper.Doc{}, fixtures()
	var mu sync.Mutex
	var composed sync.WaitGroup
	for i, name := range slices.Sorted(maps.Keys(all)) {
		if !long && i%2 > 0 && name != mostNotes { // of seven five
			continue
		}
		for _, size := range sheetsOf(i / 2) {
			composed.Go(func() {
				d, err := compose(all[name], Options{Paper: size, Pages: section.Full})
				if err != nil {
					panic(err)
				}
				mu.Lock()
				defer mu.Unlock()
				out[name+" "+size.Name] = d
			})
		}
	}
	composed.Wait()
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
	const slack = 0.35 // mm by which boxes may touch: the side bearings of two figures
	const white = 0.65 // mm of a line's height that figures leave white
	eachPage(t, func(t *testing.T, _ paper.Size, page int, boxes []paper.Placed) {
		boxes = slices.SortedFunc(slices.Values(boxes), func(a, b paper.Placed) int { return cmp.Compare(a.Box.Y, b.Box.Y) })
		for i, a := range boxes {
			for _, b := range boxes[i+1:] {
				if b.Box.Y > a.Box.Y+a.Box.H {
					break
				}
				w := math.Min(a.Box.X+a.Box.W, b.Box.X+b.Box.W) - math.Max(a.Box.X, b.Box.X)
				h := math.Min(a.Box.Y+a.Box.H, b.Box.Y+b.Box.H) - math.Max(a.Box.Y, b.Box.Y)
				if w > slack && h > white {
					t.Errorf("page %d: %q and %q share %.1f × %.1f mm", page, a.Text, b.Text, w, h)
				}
			}
		}
	})
}

// letters of notes, which are superior.
const letters = "ᵃᵇᶜᵈᵉᶠᵍʰⁱʲᵏˡᵐⁿᵒᵖʳˢᵗᵘᵛʷˣʸᶻ"

func TestEveryMarkHasItsNoteOnThePage(t *testing.T) {
	eachPage(t, func(t *testing.T, _ paper.Size, page int, boxes []paper.Placed) {
		if strings.Contains(t.Name(), "many_warnings") {
			return // there the foot of one page cannot hold what one block needs; see the next test
		}
		marks, feet := map[rune]bool{}, map[rune]bool{}
		for _, b := range boxes {
			if b.Text == "" || strings.Trim(b.Text, letters) != "" {
				continue
			}
			for _, r := range b.Text {
				if b.Box.X < paper.Margin+0.01 {
					feet[r] = true
				} else {
					marks[r] = true
				}
			}
		}
		assert.Equal(t, feet, marks, "page %d", page)
	})
}

// Where a page cannot hold all notes they go on at the foot of the next ones:
// none is lost.
func TestNoFootnoteIsLost(t *testing.T) {
	looked := 0
	for _, size := range []paper.Size{paper.A4, paper.Letter} {
		d := laidOut()[mostNotes+" "+size.Name]
		if d == nil {
			continue // the other sheet, in the long form
		}
		looked++
		text := allText(d)
		for i := range 37 {
			assert.Contains(t, text, fmt.Sprintf("arning number %d on", i))
		}
	}
	assert.Positive(t, looked)
}

func allText(d *paper.Doc) string {
	var parts []string
	for _, b := range d.Boxes() {
		parts = append(parts, b.Text)
	}
	return strings.Join(parts, "\n")
}

// Where no style is compared too, what there is to say of the choice has its place.
func TestReadingOrderOfTheSections(t *testing.T) {
	d, err := compose(practice(), Options{Pages: section.Full})
	require.NoError(t, err)
	text := allText(d)
	at := -1
	for _, head := range []string{
		"To decide", "Cautions.", "Where plans fell short", "Did the choice of attachment matter?", "What it cost, and what changed", "Annexes",
		"Who is in it", "What was expressed", "Method error", "Methods", "Definitions", "Settings", "Provenance",
	} {
		i := strings.Index(text[at+1:], head)
		require.GreaterOrEqual(t, i, 0, head)
		at += 1 + i
	}
}

// Verdicts come from the results: turning one over turns the page over, once
// the sentences are written anew.
func TestReportDecidesNothing(t *testing.T) {
	whole := *sample()
	r := &whole
	r.Comparisons = slices.Clone(r.Comparisons)
	for i := range r.Comparisons {
		if c := &r.Comparisons[i]; c.Verdict == results.Higher || c.Verdict == results.Lower {
			c.Verdict = results.NotDistinguishable
		}
	}
	d, err := section.Document(r, section.Short)
	require.NoError(t, err)
	before := everything(d)
	assert.Contains(t, before, "differ clearly")
	audit.Tell(r)
	d, err = section.Document(r, section.Short)
	require.NoError(t, err)
	assert.NotEqual(t, before, everything(d))
	assert.NotContains(t, everything(d), "differ clearly")
}

// Findings of whole audits are in plain English: no term of statistics and no word
// of cause.
func TestFindingsArePlain(t *testing.T) {
	terms := regexp.MustCompile(`(?i)distinguishable|expression|expressed|comparable|combination|covariate|cluster|ratio\b|\bP (<|0)|caused|due to|because of|led to|effect\b`)
	audits := map[string]*results.Results{"sample data": sample()}
	if !testing.Short() {
		maps.Copy(audits, questioned())
	}
	for name, r := range audits {
		for _, f := range r.Findings {
			assert.NotRegexp(t, terms, f.Text, name)
		}
	}
}

// What people read says attachment; the methods keep their terms to themselves.
func TestWordsOfTheFirstPages(t *testing.T) {
	short, full := strings.ToLower(allText(laid(t, sample(), Options{}))), strings.ToLower(allText(laid(t, sample(), Options{Pages: section.Full})))
	for i, word := range []string{"feature", "long face", "cr2", "satterthwaite", "winsor", "benjamini", "random intercept"} {
		assert.NotContains(t, short, word)
		if i < 2 {
			assert.NotContains(t, full, word)
		}
	}
}

func TestSuppressedNumbersAreNotPrinted(t *testing.T) {
	r := practice()
	for i := range r.Expression {
		c := &r.Expression[i]
		c.Suppressed, c.Cases, c.Movements, c.Estimate = true, 4242, 4242, 0.4242
	}
	audit.Tell(r)
	d, err := compose(r, Options{Pages: section.Full})
	require.NoError(t, err)
	text := allText(d)
	assert.NotContains(t, text, "4242")
	assert.NotContains(t, text, "4\u2009242")
	assert.Contains(t, text, "too few")
}
