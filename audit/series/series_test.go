package series

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/audittest"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

func TestQuarters(t *testing.T) {
	for month, want := range map[int]string{1: "2025 Q1", 3: "2025 Q1", 4: "2025 Q2", 6: "2025 Q2", 12: "2025 Q4"} {
		assert.Equal(t, want, QuarterName(QuarterOf(casebook.NewMonth(2025, month))))
	}
	assert.Equal(t, NoQuarter, QuarterOf(0))
}

func TestOnlyCompletedCasesCountAsRefinedOrNot(t *testing.T) {
	var b audittest.Build
	for i, st := range casebook.Statuses() {
		id := fmt.Sprint(i)
		b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{ID: id, Status: st, Start: casebook.NewMonth(2025, 1)})
		b.Dataset.Courses = append(b.Dataset.Courses, casebook.Course{Case: casebook.CaseKey{ID: id}, Number: 1}, casebook.Course{Case: casebook.CaseKey{ID: id}, Number: 2})
	}
	parts, _ := MeasureParts(b.Prepare(t, results.DefaultSettings()), &results.Criterion{Measure: results.CasesRefined})
	require.Len(t, parts, 1)
	assert.Equal(t, 1.0, parts[0].Num)
}
