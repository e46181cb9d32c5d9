package ask_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"shortfall/audit/ask/methoderror"
	"shortfall/audit/audittest"
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
	methoderror.Grey(r)
	assert.Equal(t, []bool{true, false, true, false}, []bool{r.Expression[0].BelowDetectable, r.Expression[1].BelowDetectable, r.Expression[2].BelowDetectable, r.Expression[3].BelowDetectable})
	assert.Empty(t, r.Expression[0].Warnings)
	require.Len(t, r.Expression[2].Warnings, 1)
	assert.Equal(t, "plan-near-error", r.Expression[2].Warnings[0].ID)
	assert.True(t, r.Comparisons[0].BelowDetectable)
	assert.False(t, r.Comparisons[1].BelowDetectable)
}

// TestDetectableAboveTolerance: a share outside tolerance carries the words where the
// smallest detectable change is larger, of the coarsest way of measuring, and not where it
// is as large.
func TestDetectableAboveTolerance(t *testing.T) {
	shared := func(change results.Number) []results.Warning {
		r := &results.Results{
			Provenance: results.Provenance{Settings: results.DefaultSettings()},
			Repeats:    []results.MethodError{{Unit: casebook.Degree, SmallestDetectable: 1}, {Unit: casebook.Degree, SmallestDetectable: change}},
			Expression: []results.Cell{{Unit: casebook.Degree, Movements: 10, PlannedTotal: 100, OutsideTolerance: results.Share{Value: 0.3}}},
		}
		methoderror.Grey(r)
		return r.Expression[0].OutsideTolerance.Warnings
	}
	assert.Empty(t, shared(2), "the tolerance is 2 degrees")
	told := shared(2.4)
	require.Len(t, told, 1)
	assert.Equal(t, "detectable-above-tolerance", told[0].ID)
	assert.Contains(t, told[0].Text, "the smallest detectable change (2.4°) is larger than the tolerance (2°)")
	assert.NotEmpty(t, told[0].Remedy)
}

// TestErrorAboveToleranceIsSaid: of the repeats themselves, where nothing is analysed.
func TestErrorAboveToleranceIsSaid(t *testing.T) {
	for spread, want := range map[float64]bool{0.2: false, 3: true} {
		var b audittest.Build
		for i := range 12 {
			first := float64(i)
			b.Dataset.Repeats = append(b.Dataset.Repeats, casebook.Repeat{
				Case: casebook.CaseKey{ID: fmt.Sprint(i)}, Course: 1, Tooth: 11, Axis: casebook.Rotation, First: first, Second: first + spread*float64(i%3-1),
			})
		}
		errors := methoderror.Answer(b.Prepare(t, results.DefaultSettings()))
		require.Len(t, errors, 1)
		said := slices.ContainsFunc(errors[0].Warnings, func(w results.Warning) bool { return w.ID == "detectable-above-tolerance" })
		assert.Equal(t, want, said, "smallest detectable %v", errors[0].SmallestDetectable)
	}
}
