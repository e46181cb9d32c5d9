package section

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/report/document"
)

// TestNotComparableIsPale: a direction whose styles were used in different patients has
// its difference between patients, pale, none within mouths, and no verdict of its own.
func TestNotComparableIsPale(t *testing.T) {
	none := results.NotEstimable
	by := results.By{Axis: casebook.Vertical, Direction: casebook.Extrusion, Course: results.Initial}
	r := &results.Results{
		Comparisons: []results.Comparison{{
			By: by, Verdict: results.NotComparable, Both: 4, Adjusted: results.Difference{Difference: 0.3, Low: 0.1, High: 0.5},
			Readings: []results.Reading{{ID: results.BetweenPatients, Difference: results.Difference{Difference: 0.12, Low: 0.02, High: 0.22}}, {ID: results.UnadjustedReading, Difference: results.Difference{Difference: 0.05, Low: 0.01, High: 0.09}}},
		}},
		Front: results.Front{Dots: results.FrontDots{Groups: []results.FrontGroup{{Rows: []results.FrontRow{{By: by, Name: "Extrusion", Difference: none}}}}}},
	}
	m := newMaker(r)
	_, ok := m.readings()
	assert.False(t, ok, "not on the first pages")
	m.pages = Full
	table, ok := m.readings()
	require.True(t, ok)
	assert.NotContains(t, strings.Join(titles(table), "|"), "Same mouth", "nothing stands in that column")

	compared := results.By{Axis: casebook.Tip, Direction: casebook.TipMesial, Course: results.Initial}
	r.Comparisons = append(r.Comparisons, results.Comparison{By: compared, Verdict: results.NotDistinguishable, Both: 40, Adjusted: results.Difference{Difference: 0.02, Low: -0.1, High: 0.14}})
	group := &r.Front.Dots.Groups[0]
	group.Rows = append(group.Rows, results.FrontRow{By: compared, Name: "Tip, mesial", Difference: 0.02})
	table, ok = m.readings()
	require.True(t, ok)
	require.Len(t, table.Rows, 2)
	cells := table.Rows[0].Cells
	assert.True(t, cells[0].Quiet)
	assert.NotContains(t, cells[2].Text, "30", "four mouths are no comparison")
	assert.Contains(t, cells[3].Text, "+12")
	assert.True(t, cells[3].Quiet)
	assert.Equal(t, "not comparable", cells[5].Text)
	assert.Contains(t, table.Rows[1].Cells[2].Text, "+2")
	assert.Equal(t, "–", table.Rows[1].Cells[4].Text, "a reading that was not made is no difference of nought")

	r.Comparisons[0].Readings = nil // withheld
	table, ok = m.readings()
	require.True(t, ok)
	assert.Len(t, table.Rows, 1)
}

func titles(t document.Table) (out []string) {
	for _, c := range t.Columns {
		out = append(out, c.Title)
	}
	return out
}

// TestEveryStyleHasItsName at the ends of a path.
func TestEveryStyleHasItsName(t *testing.T) {
	for _, s := range casebook.Styles() {
		assert.NotEmpty(t, hadNames[s], s)
	}
}
