package section

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
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
	assert.NotContains(t, strings.Join(titles(table), "|"), "Same patients", "nothing stands in that column")

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

	r.Sections = []results.Section{{ID: "comparison", Exhibits: []results.Exhibit{{ID: "comparison.readings", Notes: []string{"Points of the plan."}}}}}
	for _, pages := range []Pages{Full, Everything} {
		m.pages = pages
		table, _ = m.readings()
		assert.Equal(t, 1, strings.Count(table.Below.Plain(), "Points of the plan."), "said once")
	}
	m.pages = Full
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

// What is drawn of a switch is what was compared: those that kept once, first, then each
// switch with its difference; what is withheld is left out.
func TestSwitchesDrawnAreThoseCompared(t *testing.T) {
	path := func(to casebook.Style, next results.Number) results.SwitchPath {
		return results.SwitchPath{Axis: casebook.Rotation, From: casebook.SoftwareSuggested, To: to, Cases: 20, Movements: 30, First: results.Spread{Value: 0.3}, Next: results.Spread{Value: next}, Expected: results.RegressionToMean{AtMost: 0.1, Change: 0.02}}
	}
	contrast := func(to casebook.Style, d results.Number) results.GroupComparison {
		return results.GroupComparison{By: results.By{Axis: casebook.Rotation}, From: casebook.SoftwareSuggested, To: to, Verdict: results.Higher, Adjusted: results.Difference{Difference: d, Low: d - 0.1, High: d + 0.1}}
	}
	drawn := func(to casebook.Style) results.FrontSwitch {
		return results.FrontSwitch{Axis: casebook.Rotation, From: casebook.SoftwareSuggested, To: to}
	}
	r := &results.Results{}
	r.Questions.Switches = results.SwitchAnalysis{
		Paths:     []results.SwitchPath{path(casebook.SoftwareSuggested, 0.35), path(casebook.StyleNone, 0.4), path(casebook.ClinicianDesigned, 0.5)},
		Contrasts: []results.GroupComparison{contrast(casebook.StyleNone, 0.04), contrast(casebook.ClinicianDesigned, 0.2)},
	}
	r.Front.Kept.Drawn = []results.FrontSwitch{drawn(casebook.ClinicianDesigned)}
	groups := func() []chart.SwitchGroup {
		fig, ok := newMaker(r).kept()
		require.True(t, ok)
		return fig.Drawings[0].(chart.Switches).Groups
	}
	one := groups()
	require.Len(t, one, 1)
	require.Len(t, one[0].Rows, 2, "the way without attachment is not asked for")
	kept, switched := one[0].Rows[0], one[0].Rows[1]
	assert.True(t, kept.Kept)
	assert.Empty(t, kept.Difference)
	assert.Equal(t, []string{"30", "50", "+20", "+10 to +30"}, []string{switched.FromText, switched.ToText, switched.Difference, switched.Limits})
	assert.True(t, switched.Strong)
	assert.InDeltaSlice(t, []float64{0.32, 0.4}, []float64{switched.Lo, switched.Hi}, 1e-9)

	r.Front.Kept.Drawn = append(r.Front.Kept.Drawn, drawn(casebook.StyleNone))
	require.Len(t, groups()[0].Rows, 3, "those that kept stand there once")
	r.Questions.Switches.Contrasts[0].Suppressed = true
	require.Len(t, groups()[0].Rows, 2)
	r.Questions.Switches.Paths[0].Suppressed = true // nothing to set them against
	_, ok := newMaker(r).kept()
	assert.False(t, ok)
}
