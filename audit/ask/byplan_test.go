package ask_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/ask/byplan"
	"shortfall/ingest/casebook"
)

func TestPlanCutsAreEachOnce(t *testing.T) {
	assert.Empty(t, byplan.Cuts(nil, casebook.Degree))
	assert.Equal(t, []float64{5}, byplan.Cuts([]float64{5, 5, 5, 5}, casebook.Degree))
	assert.Equal(t, []float64{0.5, 0.8}, byplan.Cuts([]float64{0.41, 0.52, 0.53, 0.79, 0.81}, casebook.Millimetre))
}
