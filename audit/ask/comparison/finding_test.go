package comparison

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/results"
)

// TestAssociationNamesTheLimit: the E-value in a finding is that of the limit.
func TestAssociationNamesTheLimit(t *testing.T) {
	c := &results.Comparison{Verdict: results.Higher, EValue: results.EValue{Estimate: 4.4, Limit: 2.3}}
	assert.Contains(t, associationLimit(c), "related 2.3-fold to both")
	assert.NotContains(t, associationLimit(c), "4.4")
	c.Verdict = results.NotDistinguishable
	assert.NotContains(t, associationLimit(c), "fold")
}
