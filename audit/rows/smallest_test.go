package rows

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// TestWithSmallestIsPreparedAnew: the rows of another smallest plan are those that the
// dataset gives under it, with a period and without, and the Set itself does not change.
func TestWithSmallestIsPreparedAnew(t *testing.T) {
	params := sampledata.Default()
	params.Cases = 60
	ds, _ := sampledata.Generate(params, 5)
	dated := results.DefaultSettings()
	dated.Period.From, dated.Period.To = params.FirstStart+6, params.FirstStart+24
	for _, s := range []results.Settings{results.DefaultSettings(), dated} {
		p, err := Prepare(ds, s)
		require.NoError(t, err)
		before := [3]int{len(p.Analysed), len(p.Unplanned), p.Cases[len(p.Cases)-1].To}
		s.SmallestMM, s.SmallestDeg = 2*s.SmallestMM, 2*s.SmallestDeg
		want, err := Prepare(ds, s)
		require.NoError(t, err)
		got := p.WithSmallest(s.SmallestMM, s.SmallestDeg)
		require.Less(t, len(got.Analysed), before[0])
		for i, lists := range [][2][]Row{{want.Analysed, got.Analysed}, {want.Missing, got.Missing}, {want.Unplanned, got.Unplanned}, {want.Short, got.Short}, {want.followed, got.followed}} {
			require.Len(t, lists[1], len(lists[0]), i)
			for k := range lists[0] {
				w, g := lists[0][k], lists[1][k]
				require.Equal(t, w.Movement.Key(), g.Movement.Key())
				w.Movement, g.Movement = nil, nil
				if math.IsNaN(w.Achieved) && math.IsNaN(g.Achieved) {
					w.Achieved, g.Achieved = 0, 0
				}
				require.Equal(t, w, g)
			}
		}
		for i := range want.Cases {
			assert.Equal(t, [2]int{want.Cases[i].From, want.Cases[i].To}, [2]int{got.Cases[i].From, got.Cases[i].To})
		}
		by := results.By{Direction: casebook.MesialIn, Axis: casebook.Rotation, Course: results.Initial}
		assert.Equal(t, want.AnalysedIn(by), got.AnalysedIn(by))
		assert.Equal(t, [2]any{want.Settings, want.Names}, [2]any{got.Settings, got.Names})
		assert.Equal(t, before, [3]int{len(p.Analysed), len(p.Unplanned), p.Cases[len(p.Cases)-1].To})
	}
}
