package audit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

func TestOnlyChangedVerdictsAreListed(t *testing.T) {
	at := func(v results.Verdict, c results.Verdict) *results.Results {
		return &results.Results{Comparisons: []results.Comparison{
			{By: results.By{Direction: casebook.Extrusion}, Verdict: v}, {By: results.By{Direction: casebook.Intrusion}, Verdict: c},
		}}
	}
	s := Compare(at(results.Higher, results.Lower), at(results.NotDistinguishable, results.Lower))
	require.Len(t, s.Verdicts, 1)
	assert.Equal(t, results.VerdictChange{By: results.By{Direction: casebook.Extrusion}, Before: results.Higher, After: results.NotDistinguishable}, s.Verdicts[0])
}

func TestOnlyTheLowestTenthIsAskedAbout(t *testing.T) {
	ask := func(rank results.Number) string {
		return caseQuestions(&results.CaseSheet{Planned: 1, Measured: 1, Movements: []results.SheetMovement{{Band: results.Band{Cases: 20, Rank: rank}}}})[0]
	}
	assert.Contains(t, ask(0.05), "lowest tenth")
	assert.Contains(t, ask(0.5), "Nothing in this case stands out")
}
