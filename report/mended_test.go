package report

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/report/document"
	"shortfall/report/section"
)

// What earlier editions printed and this one must not. Proven elsewhere: notes are letters
// of their page (TestEveryMarkHasItsNoteOnThePage), tables say something (emptyColumns), no
// interval is broken, no thousands are ungrouped, no quarter is empty (finders), what is
// called needs no more cases (section), hyphens stay (paper, TestWrapBreaks), bookmarks,
// title and XMP (paper, TestCatalogIsComplete), small P (wording, TestP).

// everyPage is all text of every page of the fixtures, annexes too.
func everyPage(t *testing.T, look func(name, text string)) {
	t.Helper()
	for name, d := range laidOut() {
		look(name, strings.ReplaceAll(allText(d), "\u00a0", " "))
	}
}

// A share of a handful is a count: "1 of 2", never "50 % of 2".
var shareOfFew = regexp.MustCompile(` %( \(\d/\d\)| of [1-9] )`)

func TestShareOfAHandfulIsACount(t *testing.T) {
	everyPage(t, func(name, text string) { assert.NotRegexp(t, shareOfFew, text, name) })
	assert.Regexp(t, shareOfFew, "50 % of 2 completed cases")
	assert.Regexp(t, shareOfFew, "50 % (1/2)")
}

// No mark is pale for what one measurement could not tell: a mean is not judged by it.
func TestNoMeanIsJudgedByTheErrorOfOneMeasurement(t *testing.T) {
	everyPage(t, func(name, text string) {
		assert.NotRegexp(t, judgedPale, strings.ToLower(text), name)
	})
	assert.Regexp(t, judgedPale, "pale: less than the\nsmallest detectable change")
}

var judgedPale = regexp.MustCompile(`pale[^.]*smallest detectable`)

// Fewer than ten clinicians or practices are a table, since four dots show no funnel.
func TestFunnelsOfFewerThanTenPointsAreNotDrawn(t *testing.T) {
	drawn := func(points int) bool {
		r := *sample()
		r.Questions.Funnels = slices.Clone(r.Questions.Funnels)
		i := slices.IndexFunc(r.Questions.Funnels, func(f results.Funnel) bool { return f.Shown })
		require.GreaterOrEqual(t, i, 0)
		f := &r.Questions.Funnels[i]
		for f.Points = slices.Clone(f.Points); len(f.Points) < points; {
			f.Points = append(f.Points, f.Points[0])
		}
		d, err := section.Document(&r, section.Everything)
		require.NoError(t, err)
		found := false
		d.Walk(func(b document.Block, _ int) {
			if fig, ok := b.(document.Figure); ok {
				found = found || strings.HasPrefix(fig.ID, "funnels")
			}
		})
		return found
	}
	assert.False(t, drawn(4))
	assert.False(t, drawn(9))
	assert.True(t, drawn(10))
}

// A report that leaves the practice names no clinician on any page.
func TestSharedPagesNameNoClinician(t *testing.T) {
	codes := regexp.MustCompile(`\bK[1-4]\b`)
	r := leaving60(t)
	for _, pages := range []section.Pages{section.One, section.Short, section.Full} {
		d, err := section.Document(r, pages)
		require.NoError(t, err)
		assert.NotRegexp(t, codes, everything(d))
	}
	assert.NotRegexp(t, codes, allText(laid(t, r, Options{Pages: section.Full})))
	assert.Regexp(t, codes, allText(laid(t, sample(), Options{Pages: section.Full})), "as they are named where nothing leaves")
}

// Two styles in whole percent stand apart by the points printed beside them.
func TestPairsStandApartByTheirPoints(t *testing.T) {
	pairs := 0
	d, err := section.Document(sample(), section.One)
	require.NoError(t, err)
	d.Walk(func(b document.Block, _ int) {
		fig, ok := b.(document.Figure)
		if !ok || fig.ID != "dots" {
			return
		}
		for _, row := range fig.Data.Rows {
			if len(row.Cells) < 5 || row.Cells[2].Text == "" {
				continue
			}
			var n [3]int
			for i, s := range []string{row.Cells[2].Text, row.Cells[3].Text, strings.Fields(row.Cells[4].Text)[0]} {
				n[i], err = strconv.Atoi(strings.NewReplacer("−", "-", "+", "").Replace(s))
				require.NoError(t, err)
			}
			assert.Equal(t, n[2], n[1]-n[0], row.Cells[0].Text)
			pairs++
		}
	})
	assert.Greater(t, pairs, 5)
}
