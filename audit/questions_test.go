package audit

import (
	"context"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/declare"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

func TestCriteriaFile(t *testing.T) {
	c, err := declare.ParseCriteria("criteria.toml", []byte(declare.CriteriaExample))
	require.NoError(t, err)
	require.Len(t, c.Criteria, 1)
	assert.Equal(t, results.By{Axis: casebook.Vertical, Direction: casebook.Extrusion, ToothClass: casebook.Incisor, Arch: casebook.Upper, Course: results.Initial}, c.Criteria[0].By())
	for change, want := range map[[2]string]string{
		{"at_most = 0.30", "at_least = 0.2\nat_most = 0.30"}:                             "exactly one of at_most and at_least",
		{"at_most = 0.30", "at_most = 30"}:                                               "a share is between 0 and 1",
		{"measure = ", "measur = "}:                                                      `unknown key "criterion.measur"`,
		{`"outside tolerance"`, `"outside"`}:                                             "expected one of",
		{`direction = "extrusion"`, `direction = "up"`}:                                  "criteria.toml, line 7",
		{`"2025 Q1"`, `"2025-Q1"`}:                                                       "expected quarters such as",
		{`month = "2026-01"`, `month = "January"`}:                                       "expected YYYY-MM",
		{`criteria = ["Extrusion of`, `criteria = ["Intrusion of`}:                       "no criterion is named",
		{`course = "initial"`, `course = "first"`}:                                       "expected initial or refinement",
		{`direction = "extrusion"`, `axis = "rotation"` + "\ndirection = \"extrusion\""}: "not a direction of the axis",
		{`measure = "outside tolerance"`, `measure = "cases refined"`}:                   "counted over whole cases",
	} {
		text := strings.Replace(declare.CriteriaExample, change[0], change[1], 1)
		require.NotEqual(t, declare.CriteriaExample, text, change[0])
		_, err := declare.ParseCriteria("criteria.toml", []byte(text))
		assert.ErrorContains(t, err, want, change[1])
	}
}

// TestSharedResultsHideSmallGroups looks at every count of the questions.
func TestSharedResultsHideSmallGroups(t *testing.T) {
	params := sampledata.Default()
	params.Cases = 60
	ds, _ := sampledata.Generate(params, 4)
	s := results.DefaultSettings()
	s.Shared = true
	r, err := Run(context.Background(), ds, s, "test")
	require.NoError(t, err)
	q := r.Questions
	hidden := 0
	for _, x := range q.Switches.Paths {
		assert.True(t, x.Suppressed && x.Cases == 0 && x.Movements == 0 || x.Cases >= s.MinCellCases, "%v", x)
		hidden += measure.OneIf(x.Suppressed)
	}
	assert.NotEqual(t, 1, hidden, "one path alone could be had from the total")
	assert.Positive(t, hidden)
	for _, list := range [][]results.GroupComparison{q.Switches.Contrasts, q.Staging.Comparisons, q.Fit.Comparisons} {
		for _, c := range list {
			assert.True(t, c.Suppressed && c.Group.Cases == 0 || min(c.Group.Cases, c.Reference.Cases) >= s.MinCellCases, c.Reading)
			if c.Suppressed {
				assert.Empty(t, c.Reading)
			}
		}
	}
	assert.Empty(t, q.Staging.Loads, "no case is listed")
	for _, x := range q.LossRates.Rates {
		assert.True(t, x.Suppressed && x.Features == 0 || x.Cases >= s.MinCellCases)
	}
	for _, f := range q.Funnels {
		for _, pt := range f.Points {
			assert.GreaterOrEqual(t, pt.Cases, s.MinCellCases)
		}
	}
	for _, x := range q.CaseMix.Sensitivity {
		for _, row := range x.Rows {
			assert.NotEqual(t, "without-clinician", row.ID)
			assert.Zero(t, row.Cases)
		}
	}
}

func TestQuestionsSurviveJSON(t *testing.T) {
	params := sampledata.Default()
	params.Cases = 40
	ds, _ := sampledata.Generate(params, 6)
	s := results.DefaultSettings()
	c, err := declare.ParseCriteria("criteria.toml", []byte(declare.CriteriaExample))
	require.NoError(t, err)
	s.Questions.Criteria = c
	r, err := Run(context.Background(), ds, s, "test")
	require.NoError(t, err)
	first, err := json.Marshal(r)
	require.NoError(t, err)
	back, err := ParsePrevious("results.json", first)
	require.NoError(t, err)
	second, err := json.Marshal(back)
	require.NoError(t, err)
	assert.JSONEq(t, string(first), string(second))
}

func TestNothingToAsk(t *testing.T) {
	r, err := Run(context.Background(), &casebook.Dataset{}, results.DefaultSettings(), "test")
	require.NoError(t, err)
	assert.Empty(t, r.Questions.Switches.Paths)
	assert.Empty(t, r.Questions.Outlook.Expected)
	for _, f := range r.Questions.Funnels {
		assert.False(t, f.Shown)
		assert.NotEmpty(t, f.Reason)
	}
}
