package audit

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask/byplan"
	"shortfall/audit/audittest"
	"shortfall/audit/disclose"
	"shortfall/audit/grid"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// TestByPlanAgainstR: the sample data, by the last part of testdata/questions.R
// (R 4.2.2, quantile of type 7, findInterval).
func TestByPlanAgainstR(t *testing.T) {
	ds, _ := sampledata.Generate(sampledata.Default(), sampledata.DefaultSeed)
	s := results.DefaultSettings()
	s.MinAlignersUsed = 0.001 // the R script knows nothing of courses cut short
	r, err := Run(context.Background(), ds, s, "test")
	require.NoError(t, err)
	want := map[casebook.Axis]map[casebook.Style][byplan.PlanBins][6]float64{ // cases, movements, planned, lower quartile, median, upper quartile
		casebook.Rotation: {
			casebook.StyleNone:         {{51, 56, 4.75, 0.975, 2.1, 3.05}, {50, 57, 7.9, 2.2, 3.3, 4.6}, {30, 32, 11.35, 3.15, 4.85, 5.925}, {19, 20, 16.95, 3.05, 5.75, 8.15}},
			casebook.SoftwareSuggested: {{40, 51, 4.5, 1.3, 2.8, 3.5}, {59, 89, 7.5, 3.1, 4.4, 5.8}, {52, 67, 11.6, 4.3, 5.5, 7.05}, {71, 102, 18.35, 5.45, 8.35, 11.375}},
			casebook.ClinicianDesigned: {{46, 55, 4.6, 1, 2, 3.4}, {68, 97, 8.2, 1.8, 3, 4}, {58, 77, 11.5, 3.2, 4.4, 6}, {49, 60, 18, 2.375, 5.1, 6.8}},
		},
		casebook.Vertical: {
			casebook.StyleNone:         {{32, 35, 0.49, 0.07, 0.19, 0.265}, {33, 37, 0.73, 0.23, 0.36, 0.44}, {28, 33, 1.07, 0.27, 0.38, 0.48}, {21, 22, 1.505, 0.345, 0.55, 0.755}},
			casebook.SoftwareSuggested: {{39, 47, 0.48, 0.135, 0.21, 0.355}, {49, 67, 0.73, 0.23, 0.36, 0.47}, {59, 78, 1.07, 0.2825, 0.44, 0.59}, {69, 90, 1.68, 0.3625, 0.545, 0.8775}},
			casebook.ClinicianDesigned: {{40, 51, 0.48, 0.145, 0.24, 0.365}, {50, 69, 0.74, 0.24, 0.35, 0.48}, {49, 54, 1.065, 0.35, 0.56, 0.74}, {34, 41, 1.55, 0.44, 0.69, 0.98}},
		},
	}
	cuts := map[casebook.Axis][]float64{casebook.Rotation: {6, 10, 14}, casebook.Vertical: {0.6, 0.9, 1.3}}
	got := map[casebook.Axis]map[casebook.Style]int{casebook.Rotation: {}, casebook.Vertical: {}}
	for _, b := range r.Questions.ByPlan {
		if got[b.Axis] == nil {
			continue
		}
		k := got[b.Axis][b.Style]
		got[b.Axis][b.Style]++
		expected := want[b.Axis][b.Style][k]
		assert.InDeltaSlice(t, expected[:], []float64{
			float64(b.Cases), float64(b.Movements), float64(b.Planned), float64(b.Low), float64(b.Achieved), float64(b.High),
		}, 1e-9, "%v %v %d", b.Axis, b.Style, k)
		if k > 0 {
			assert.InDelta(t, cuts[b.Axis][k-1], float64(b.From), 1e-12)
		} else {
			assert.False(t, b.From.OK())
		}
	}
	for a, styles := range got {
		for _, s := range casebook.Styles() {
			assert.Equal(t, byplan.PlanBins, styles[s], "%v %v", a, s)
		}
	}
}

// The bins of a style add up to its cell of the grid, so in shared results none
// is withheld alone, and none is shown where the cell is not.
func TestByPlanKeepsTheSmallNumberRule(t *testing.T) {
	hidden, shown, seeds := 0, 0, uint64(audittest.Everyday(8, 1))
	for seed := range seeds {
		params := sampledata.Default()
		params.Cases = 48 + 12*int(seed)
		ds, _ := sampledata.Generate(params, 300+seed)
		s := results.DefaultSettings()
		s.Shared = true
		r, err := Run(context.Background(), ds, s, "test")
		require.NoError(t, err)
		cells := grid.ShownCells(r.Expression)
		n := map[results.By]int{}
		for _, b := range r.Questions.ByPlan {
			by := results.By{Axis: b.Axis, Style: b.Style, Course: results.Initial}
			if !b.Suppressed {
				shown++
				assert.True(t, cells[by], "%v", by)
				assert.GreaterOrEqual(t, b.Cases, disclose.FewestForOrder)
				continue
			}
			hidden++
			n[by]++
			assert.Zero(t, b.Cases+b.Movements)
			assert.True(t, math.IsNaN(float64(b.Achieved)))
		}
		for by, k := range n {
			if cells[by] {
				assert.Greater(t, k, 1, "one alone can be worked out: %v", by)
			}
		}
	}
	assert.Positive(t, hidden)
	assert.Positive(t, shown)
}
