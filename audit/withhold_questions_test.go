package audit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
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
		a := switches(p)
		movements, hidden := map[switchPath]int{}, map[switchPath]bool{}
		for _, x := range a.Paths {
			k := switchPath{x.Axis, x.From, x.To}
			movements[k], hidden[k] = x.Movements, x.Suppressed
			hiddenPaths += measure.OneIf(x.Suppressed)
		}
		at := 0
		for _, x := range a.Paths {
			if x.From == x.To {
				continue
			}
			c, kept := a.Contrasts[at], switchPath{x.Axis, x.From, x.From}
			at++
			if hidden[switchPath{x.Axis, x.From, x.To}] || hidden[kept] {
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
		for _, f := range featureFit(p).Against {
			hiddenCounts += measure.OneIf(f.Suppressed)
			assert.True(t, f.Suppressed && f.Cases == 0 && f.Movements == 0 || !f.Suppressed && f.Cases >= s.MinCellCases, "%+v", f)
		}
		if st := staging(p); st.TeethCases > 0 {
			assert.GreaterOrEqual(t, st.TeethCases, s.MinCellCases)
		}
	}
	require.NotZero(t, hiddenPaths)
	require.NotZero(t, shownContrasts)
	require.NotZero(t, hiddenCounts)
}

// TestHiddenToProtectStaysHidden: a path large enough to be shown is hidden
// where a small one alone would otherwise follow from the total; its contrast
// may not print it either.
func TestHiddenToProtectStaysHidden(t *testing.T) {
	protecting := 0
	for seed := uint64(0); seed < 40 && protecting == 0; seed++ {
		params := sampledata.Default()
		params.Cases = 260 + 15*int(seed) // large enough for exactly one small path
		ds, _ := sampledata.Generate(params, seed)
		s := results.DefaultSettings()
		p, err := rows.Prepare(ds, s)
		require.NoError(t, err)
		open := switches(p)
		p.Settings.Shared = true
		shared := switches(p)
		at := 0
		for i, x := range open.Paths {
			if x.From == x.To {
				continue
			}
			if shared.Paths[i].Suppressed && open.Contrasts[at].Group.Cases >= s.MinCellCases && open.Contrasts[at].Reference.Cases >= s.MinCellCases {
				protecting++
				assert.True(t, shared.Contrasts[at].Suppressed)
				assert.Zero(t, shared.Contrasts[at].Group.Movements)
			}
			at++
		}
	}
	require.NotZero(t, protecting, "no such path in forty practices")
}

// TestNoMainStyleIsProtected: what all cases less the two styles leave is a
// cell as well, though nobody prints it.
func TestNoMainStyleIsProtected(t *testing.T) {
	left := 0
	for seed := range uint64(60) {
		params := sampledata.Default()
		params.Cases = 60 + 10*int(seed%30)
		ds, _ := sampledata.Generate(params, 90+seed)
		s := results.DefaultSettings()
		s.Shared = true
		p, err := rows.Prepare(ds, s)
		require.NoError(t, err)
		r := refinements(p)
		withholdRefinements(p, &r)
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
