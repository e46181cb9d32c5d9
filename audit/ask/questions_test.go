package ask_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shortfall/audit/ask"
	"shortfall/audit/results"
	"shortfall/audit/rows"
)

// answered are results of which one question has filled its part.
func answered(t *testing.T, q ask.Question, p *rows.Set) *results.Results {
	t.Helper()
	var r results.Results
	require.NoError(t, q.Answer(t.Context(), p, &r))
	return &r
}
