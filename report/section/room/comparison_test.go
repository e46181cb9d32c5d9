package room

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
)

// A called difference never stands beside cases that it would need.
func TestWhatIsCalledNeedsNoMoreCases(t *testing.T) {
	m := &Maker{}
	for verdict, want := range map[results.Verdict]string{
		results.Higher: wording.Dash, results.Lower: wording.Dash, results.NotDistinguishable: "12",
	} {
		c := &results.Comparison{Verdict: verdict, MoreCases: 12}
		assert.Equal(t, want, m.comparisonCells(c, "More cases").Text, verdict)
	}
}
