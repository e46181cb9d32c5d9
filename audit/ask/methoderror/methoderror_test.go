package methoderror

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

func TestMethodErrorGreys(t *testing.T) {
	r := &results.Results{
		Repeats: []results.MethodError{{Unit: casebook.Degree, SmallestDetectable: 3}},
		Expression: []results.Cell{
			{Unit: casebook.Degree, Movements: 10, PlannedTotal: 100, MeanDifference: results.Spread{Value: -2.9}},
			{Unit: casebook.Degree, Movements: 10, PlannedTotal: 100, MeanDifference: results.Spread{Value: -3.1}},
			{Unit: casebook.Degree, Movements: 10, PlannedTotal: 29, MeanDifference: results.Spread{Value: -1}},
			{Unit: casebook.Millimetre, Movements: 10, PlannedTotal: 10, MeanDifference: results.Spread{Value: -0.01}},
		},
		Comparisons: []results.Comparison{
			{Unit: casebook.Degree, Arms: []results.Arm{{Movements: 5, MeanPlanned: 10}, {Movements: 5, MeanPlanned: 20}}, Adjusted: results.Difference{Difference: 0.19}},
			{Unit: casebook.Degree, Arms: []results.Arm{{Movements: 5, MeanPlanned: 10}, {Movements: 5, MeanPlanned: 20}}, Adjusted: results.Difference{Difference: 0.21}},
		},
	}
	Grey(r)
	assert.Equal(t, []bool{true, false, true, false}, []bool{r.Expression[0].BelowDetectable, r.Expression[1].BelowDetectable, r.Expression[2].BelowDetectable, r.Expression[3].BelowDetectable})
	assert.Empty(t, r.Expression[0].Warnings)
	require.Len(t, r.Expression[2].Warnings, 1)
	assert.Equal(t, "plan-near-error", r.Expression[2].Warnings[0].ID)
	assert.True(t, r.Comparisons[0].BelowDetectable)
	assert.False(t, r.Comparisons[1].BelowDetectable)
}
