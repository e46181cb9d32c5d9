package audit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/between"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// switchBias sums up the contrasts of a practice: the mean adjusted difference
// by what was switched to, weighted by precision, and the largest one.
func switchBias(t *testing.T, params sampledata.Params, seed uint64) (toNone, betweenFeatures, largest float64, v verdicts) {
	t.Helper()
	ds, _ := sampledata.Generate(params, seed)
	p, err := rows.Prepare(ds, results.DefaultSettings())
	require.NoError(t, err)
	a := switches(p)
	v.groups(a.Contrasts)
	var sum, weight [2]float64
	at := 0
	for _, x := range a.Paths {
		if x.From == x.To {
			continue
		}
		c := a.Contrasts[at]
		at++
		if c.Verdict == results.NotComparable || x.From == casebook.StyleNone {
			continue
		}
		d, w := float64(c.Adjusted.Difference), 1/float64(c.Adjusted.SE*c.Adjusted.SE)
		k := 1 - measure.OneIf(x.To == casebook.StyleNone)
		sum[k], weight[k] = sum[k]+w*d, weight[k]+w
		largest = max(largest, math.Abs(d))
	}
	return sum[0] / weight[0], sum[1] / weight[1], largest, v
}

// TestHugePracticeHasNoSwitchEffect: the generator gives no feature to small
// residuals. With thousands of cases chance is no excuse: where nothing
// matters, a switch to none looks like nothing within a point and a half.
func TestHugePracticeHasNoSwitchEffect(t *testing.T) {
	params := nothingMatters()
	params.Cases = 3000
	toNone, between, largest, v := switchBias(t, params, 77)
	t.Logf("to none %+.4f, between features %+.4f, largest %.3f; %d of %d contrasts beyond chance", toNone, between, largest, v.decided, v.comparable)
	require.Greater(t, v.comparable, 30)
	assert.InDelta(t, 0, toNone, 0.015)
	assert.InDelta(t, 0, between, 0.015)
	assert.Less(t, largest, 0.1)
	assert.LessOrEqual(t, v.decided, 2)
}

// TestSwitchToNoneIsFound: without a feature a tooth does worse in rotation by
// a known amount, and the contrast says so.
func TestSwitchToNoneIsFound(t *testing.T) {
	params := nothingMatters()
	params.Cases = 3000
	params.NoneEffect = map[casebook.Direction]float64{}
	for _, d := range casebook.Directions() {
		params.NoneEffect[d] = -0.15
	}
	toNone, between, _, _ := switchBias(t, params, 78)
	t.Logf("to none %+.4f, between features %+.4f", toNone, between)
	assert.InDelta(t, -0.15, toNone, 0.02)
	assert.InDelta(t, 0, between, 0.015)
}

// TestSwitchNeedsRoomForTheResidual: where the cases do not allow for the size
// of what was left, there is no comparison.
func TestSwitchNeedsRoomForTheResidual(t *testing.T) {
	ds, _ := sampledata.Generate(sampledata.Default(), 3)
	p, err := rows.Prepare(ds, results.DefaultSettings())
	require.NoError(t, err)
	judged := 0
	for _, c := range switches(p).Contrasts {
		if c.Verdict == results.NotComparable {
			continue
		}
		judged++
		require.GreaterOrEqual(t, len(c.Adjusters), 3)
		assert.Equal(t, []string{"planned amount", "planned amount squared", "expression of the course before"}, c.Adjusters[:3])
	}
	require.NotZero(t, judged)

	_, left := between.Chosen([]between.Adjuster{{Name: "a", Cols: make([]between.ModelColumn, 1)}, {Name: "b", Cols: make([]between.ModelColumn, 1)}, {Name: "c", Cols: make([]between.ModelColumn, 1)}}, 14)
	assert.Equal(t, []string{"c"}, left)
	which := make([]int32, 0, 60)
	last := -1
	for i := range p.Analysed { // ten cases only
		if r := &p.Analysed[i]; r.Axis == casebook.Rotation && (len(which) == 0 || r.Cluster != last) && len(which) < 10 {
			which, last = append(which, int32(i)), r.Cluster
		}
	}
	g := &between.Grouping{Group: func(r *rows.Row) bool { return r.Cluster%2 == 0 }, Required: true, Adjusters: func(which []int32) []between.Adjuster {
		b := &between.AdjusterBuilder{P: p, Rows: which}
		b.Number("planned amount", func(r *rows.Row) (float64, bool) { return r.Planned, true })
		b.Square("planned amount squared")
		b.Number("tooth", func(r *rows.Row) (float64, bool) { return float64(r.Tooth), true })
		return b.Out
	}}
	f := between.FitGroups(p, which, g)
	require.NotNil(t, f.Failed)
	assert.Equal(t, "essential-not-adjusted", f.Failed.ID)
}
