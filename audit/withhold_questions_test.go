package audit

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask/orientation"
	"shortfall/audit/ask/staging"
	"shortfall/audit/ask/switches"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// TestNothingSmallInQuestions: in shared results no comparison prints a path or
// a count that is kept back, and no word tells the sign of what is withheld.
func TestNothingSmallInQuestions(t *testing.T) {
	hiddenPaths, shownContrasts, hiddenCounts := 0, 0, 0
	for seed := range uint64(6) {
		params := sampledata.Default()
		params.Cases = []int{15, 40, 160}[seed%3]
		ds, _ := sampledata.Generate(params, 40+seed)
		s := results.DefaultSettings()
		s.Shared = true
		p, err := rows.Prepare(ds, s)
		require.NoError(t, err)
		a := switches.Answer(context.Background(), p)
		switches.Withhold(p, &a)
		movements, hidden := map[pathKey]int{}, map[pathKey]bool{}
		for _, x := range a.Paths {
			k := pathKey{x.Axis, x.From, x.To}
			movements[k], hidden[k] = x.Movements, x.Suppressed
			hiddenPaths += measure.OneIf(x.Suppressed)
		}
		at := 0
		for _, x := range a.Paths {
			if x.From == x.To {
				continue
			}
			c, kept := a.Contrasts[at], pathKey{x.Axis, x.From, x.From}
			at++
			if hidden[pathKey{x.Axis, x.From, x.To}] || hidden[kept] {
				assert.True(t, c.Suppressed)
				assert.Zero(t, c.Group.Movements+c.Reference.Movements+c.Group.Cases+c.Reference.Cases)
				assert.Equal(t, results.NotComparable, c.Verdict)
				assert.False(t, c.Adjusted.Difference.OK() || c.Group.Expression.OK())
				continue
			}
			shownContrasts++
			assert.Equal(t, x.Movements, c.Group.Movements)
		}
		require.Len(t, a.Contrasts, at)
		fit := orientation.Answer(context.Background(), p)
		orientation.Withhold(p, &fit)
		for _, f := range fit.Against {
			hiddenCounts += measure.OneIf(f.Suppressed)
			assert.True(t, f.Suppressed && f.Cases == 0 && f.Movements == 0 || !f.Suppressed && f.Cases >= s.MinCellCases, "%+v", f)
		}
		st := staging.Answer(context.Background(), p)
		if staging.Withhold(p, &st); st.TeethCases > 0 {
			assert.GreaterOrEqual(t, st.TeethCases, s.MinCellCases)
		}
	}
	require.NotZero(t, hiddenPaths)
	require.NotZero(t, shownContrasts)
	require.NotZero(t, hiddenCounts)
}

type pathKey struct {
	axis     casebook.Axis
	from, to casebook.Style
}
