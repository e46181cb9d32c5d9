package audittest_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/audittest"
	"shortfall/audit/results"
	"shortfall/audit/series"
	"shortfall/ingest/casebook"
)

func TestQuarters(t *testing.T) {
	for month, want := range map[int]string{1: "2025 Q1", 3: "2025 Q1", 4: "2025 Q2", 6: "2025 Q2", 12: "2025 Q4"} {
		assert.Equal(t, want, series.QuarterName(series.QuarterOf(casebook.NewMonth(2025, month))))
	}
	assert.Equal(t, series.NoQuarter, series.QuarterOf(0))
}

func TestOnlyCompletedCasesCountAsRefinedOrNot(t *testing.T) {
	var b audittest.Build
	for i, st := range casebook.Statuses() {
		id := fmt.Sprint(i)
		b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{ID: id, Status: st, Start: casebook.NewMonth(2025, 1)})
		b.Dataset.Courses = append(b.Dataset.Courses, casebook.Course{Case: casebook.CaseKey{ID: id}, Number: 1}, casebook.Course{Case: casebook.CaseKey{ID: id}, Number: 2})
	}
	parts, _ := series.MeasureParts(b.Prepare(t, results.DefaultSettings()), &results.Criterion{Measure: results.CasesRefined})
	require.Len(t, parts, 1)
	assert.Equal(t, 1.0, parts[0].Num)
}

// TestCohortsWithoutTheHorizonAreImmature: a case of which the practice has not seen the
// months to the horizon may still be refined.
func TestCohortsWithoutTheHorizonAreImmature(t *testing.T) {
	var b audittest.Build
	last := casebook.NewMonth(2026, 1)
	k := &results.Criterion{Measure: results.CasesRefined}
	s := results.DefaultSettings()
	for i, month := range []casebook.Month{last - casebook.Month(k.Horizon(&s)), last - casebook.Month(k.Horizon(&s)) + 1, last} {
		id := fmt.Sprint(i)
		b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{ID: id, Status: casebook.UnderTreatment, Start: month})
		b.Dataset.Courses = append(b.Dataset.Courses, casebook.Course{Case: casebook.CaseKey{ID: id}, Number: 1, Start: month})
	}
	b.Dataset.Cases[0].Status, b.Dataset.Cases[0].End = casebook.Completed, last // the last that was seen
	parts, _ := series.MeasureParts(b.Prepare(t, s), k)
	require.Len(t, parts, 3)
	for i, x := range parts {
		assert.Equal(t, i > 0, x.Immature, i)
	}
}

// TestOpenQuartersAreImmature: where more than a fifth of a quarter's movements are still
// under treatment, those that ended are the quick ones.
func TestOpenQuartersAreImmature(t *testing.T) {
	for open, want := range map[int]bool{2: false, 3: true} {
		var b audittest.Build
		for i := range 10 + open {
			id, achieved, status := fmt.Sprintf("c%02d", i), 6.0, casebook.Completed
			if i >= 10 {
				achieved, status = audittest.NaN(), casebook.UnderTreatment
			}
			b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{ID: id, Status: status, Start: casebook.NewMonth(2025, 1)})
			b.Add(id, 1, 13, casebook.Rotation, 10, achieved, audittest.Soft)
		}
		parts, _ := series.MeasureParts(b.Prepare(t, results.DefaultSettings()), &results.Criterion{Measure: results.ExpressionRatio, Direction: casebook.MesialIn})
		require.Len(t, parts, 10)
		for _, x := range parts {
			assert.Equal(t, want, x.Immature, "%d under way", open)
		}
		assert.Equal(t, want, len(series.MatureOnly(parts)) == 0)
	}
}

// Millimetres and degrees have no sum: over both, each movement counts in tolerances.
func TestExpressionOverBothUnitsCountsTolerances(t *testing.T) {
	var b audittest.Build
	b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{ID: "c", Status: casebook.Completed, Start: casebook.NewMonth(2025, 1)})
	b.Add("c", 1, 13, casebook.Rotation, 10, 2, audittest.Soft)
	b.Add("c", 1, 23, casebook.Vertical, 1, 0.75, audittest.Soft)
	sums := func(k results.Criterion) (num, den float64) {
		k.Measure = results.ExpressionRatio
		parts, _ := series.MeasureParts(b.Prepare(t, results.DefaultSettings()), &k)
		for _, x := range parts {
			num, den = num+x.Num, den+x.Den
		}
		return num, den
	}
	num, den := sums(results.Criterion{}) // of 10/2 + 1/0.5 tolerances 2/2 + 0.75/0.5
	assert.InDelta(t, 7, den, 1e-12)
	assert.InDelta(t, 2.5, num, 1e-12)
	num, den = sums(results.Criterion{Axis: casebook.Vertical})
	assert.InDelta(t, 1, den, 1e-12)
	assert.InDelta(t, 0.75, num, 1e-12)
}

// TestACaseIsOnePartAMonth: the movements of a case in one month are one part, counted all;
// courses of other months, and of other cases, are parts of their own.
func TestACaseIsOnePartAMonth(t *testing.T) {
	var b audittest.Build
	for _, id := range []string{"a", "b"} {
		b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{ID: id, Status: casebook.Completed, Start: casebook.NewMonth(2025, 1)})
		b.Dataset.Courses = append(b.Dataset.Courses, casebook.Course{Case: casebook.CaseKey{ID: id}, Number: 2, Start: casebook.NewMonth(2025, 9)})
		for i, achieved := range []float64{9, 2, 10} {
			b.Add(id, 1, casebook.AllTeeth()[i], casebook.Rotation, 10, achieved, audittest.Soft)
		}
		b.Add(id, 2, 13, casebook.Rotation, 10, 3, audittest.Soft)
	}
	p, k := b.Prepare(t, results.DefaultSettings()), &results.Criterion{Measure: results.OutsideTolerance}
	parts := series.MeasureMonths(p, k)
	require.Len(t, parts, 4)
	for i, x := range parts {
		assert.Equal(t, [3]float64{1, []float64{3, 1}[i%2], []float64{3, 1}[i%2]}, [3]float64{x.Num, x.Den, float64(x.N)})
		assert.Equal(t, i/2, x.Cluster)
	}
	rows, _ := series.MeasureParts(p, k)
	require.Len(t, rows, 8)
	all := func(*series.Part) bool { return true }
	assert.Equal(t, series.SumParts(rows, all), series.SumParts(parts, all))
	assert.InDelta(t, series.Dispersion(rows, 0.4, all), series.Dispersion(parts, 0.4, all), 1e-12)
}
