package room

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/report/document"
)

// TestImmatureQuartersAreHollow: a quarter whose outcomes may still come is drawn apart.
func TestImmatureQuartersAreHollow(t *testing.T) {
	r := &results.Results{}
	r.Questions.Reaudit.Criteria = []results.CriterionResult{{
		Criterion: results.Criterion{Name: "x", Measure: results.CasesRefined},
		Chart:     results.RunChart{Points: []results.RunPoint{{Quarter: "2025 Q1", Cases: 20, Value: 0.3}, {Quarter: "2025 Q2", Cases: 9, Value: 0.4, Immature: true}}},
	}}
	figure, ok := runChart(&Maker{Results: r}, &results.Exhibit{ID: "cycle.run-0"}).(document.Figure)
	require.True(t, ok)
	points := figure.Drawings[0].(runDrawing).Points
	assert.Equal(t, []bool{false, true}, []bool{points[0].Hollow, points[1].Hollow})
}
