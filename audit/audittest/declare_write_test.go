package audittest_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/declare"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// What is written is read again as it was, whatever its texts hold; the example too.
func TestWrittenCriteriaReadBack(t *testing.T) {
	share, mm := 0.3, 1.0
	hard := "“quoted” \"twice\" \\ back\nline\ttab \x7f # [x] = é"
	example, err := declare.ParseCriteria("criteria.toml", []byte(declare.CriteriaExample))
	require.NoError(t, err)
	for _, c := range []*results.Criteria{
		example,
		{File: "criteria.toml", Version: 1},
		{
			File: "criteria.toml", Version: 1,
			Criteria: []results.Criterion{
				{Name: hard, Measure: results.OutsideTolerance, Direction: casebook.Extrusion, ToothClass: casebook.Incisor, Arch: casebook.Upper, Style: casebook.StyleNone, Course: results.Initial, From: casebook.NewMonth(2026, 1), AtMost: &share, Baseline: []string{"2025 Q1", "2025 Q2"}, Source: hard},
				{Name: "all", Measure: results.MeanShortfallOf, Axis: casebook.Vertical, AtMost: &mm},
				{Name: "refined", Measure: results.CasesRefined, Within: 12, AtMost: &share},
			},
			Primary:   &results.PrimaryQuestion{Direction: casebook.Intrusion, ToothClass: casebook.Molar, Declared: casebook.NewMonth(2026, 1), Looks: []casebook.Month{casebook.NewMonth(2026, 6)}},
			Changes:   []results.ProtocolChange{{Month: casebook.NewMonth(2026, 2), Description: hard, Criteria: []string{hard}}},
			ActionsOf: []results.Action{{What: hard, Owner: "lead", Due: casebook.NewMonth(2026, 3), Reaudit: casebook.NewMonth(2026, 9), Criterion: hard}},
		},
	} {
		again, err := declare.ParseCriteria("criteria.toml", declare.WriteCriteria(c))
		require.NoError(t, err, string(declare.WriteCriteria(c)))
		assert.Equal(t, c, again)
	}
}
