package ask_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"shortfall/audit/ask/refinements"
	"shortfall/audit/audittest"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/sampledata"
)

// TestNoMainStyleIsProtected: what all cases less the two styles leave is a
// cell as well, though nobody prints it.
func TestNoMainStyleIsProtected(t *testing.T) {
	left := 0
	for seed := range uint64(audittest.Everyday(60, 15)) {
		params := sampledata.Default()
		params.Cases = 60 + 10*int(seed%30)
		ds, _ := sampledata.Generate(params, 90+seed)
		s := results.DefaultSettings()
		s.Shared = true
		p, err := rows.Prepare(ds, s)
		require.NoError(t, err)
		res := answered(t, refinements.Question(), p)
		refinements.Question().Withhold(p, res)
		r := res.Refinements
		for k, all := range r.Distribution {
			styles := 0
			for _, b := range r.ByStyle {
				if b.Suppressed || b.Distribution[k].Suppressed {
					styles = -1
					break
				}
				styles += b.Distribution[k].Cases
			}
			if all.Suppressed || styles < 0 {
				continue
			}
			left++
			rest := all.Cases - styles
			assert.True(t, rest == 0 || rest >= s.MinCellCases, "seed %d, bar %s: %d", seed, all.Label, rest)
		}
	}
	require.NotZero(t, left)
}
