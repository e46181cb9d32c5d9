package switches

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/audittest"
	"shortfall/audit/between"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// switchBias sums up the contrasts of a practice: the mean adjusted difference
// by what was switched to, weighted by precision, and the largest one.
func switchBias(t *testing.T, params sampledata.Params, seed uint64) (toNone, betweenFeatures, largest float64, v audittest.Verdicts) {
	t.Helper()
	ds, _ := sampledata.Generate(params, seed)
	p, err := rows.Prepare(ds, results.DefaultSettings())
	require.NoError(t, err)
	a := Answer(context.Background(), p)
	v.Groups(a.Contrasts)
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
	params := audittest.NothingMatters()
	params.Cases = audittest.Everyday(3000, 2000)
	toNone, between, largest, v := switchBias(t, params, 77)
	t.Logf("to none %+.4f, between features %+.4f, largest %.3f; %d of %d contrasts beyond chance", toNone, between, largest, v.Decided, v.Comparable)
	require.Greater(t, v.Comparable, audittest.Everyday(30, 20))
	assert.InDelta(t, 0, toNone, 0.015)
	assert.InDelta(t, 0, between, 0.015)
	assert.Less(t, largest, 0.2) // within mouths, the rarest path
	assert.LessOrEqual(t, v.Decided, 2)
}

// TestSwitchToNoneIsFound: without a feature a tooth does worse in rotation by
// a known amount, and the contrast says so.
func TestSwitchToNoneIsFound(t *testing.T) {
	if !audittest.Long() {
		t.Skip("with SHORTFALL_LONG; everyday TestSwitchFindsAnEffect")
	}
	params := audittest.NothingMatters()
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
	for _, c := range Answer(context.Background(), p).Contrasts {
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
}

// TestRegressionToTheMeanIsNoEffect: where nothing matters the change within
// the tooth after a switch is far from nothing, because the teeth were chosen
// for their shortfall, and the comparison with those that kept their style
// still says nothing. The expected change accounts for what is seen.
func TestRegressionToTheMeanIsNoEffect(t *testing.T) {
	n := audittest.Practices(t, 10)
	var seen audittest.Verdicts // of the change within the tooth
	var judged audittest.Verdicts
	var change, expected, atMost, weight float64
	for seed := range uint64(n) {
		params := audittest.NothingMatters()
		params.NoiseMM, params.NoiseDeg = 0.25, 2.2 // a poor method of measurement
		ds, _ := sampledata.Generate(params, 2000+seed)
		p, err := rows.Prepare(ds, results.DefaultSettings())
		require.NoError(t, err)
		s := Answer(context.Background(), p)
		judged.Groups(s.Contrasts)
		for _, x := range s.Paths {
			if x.From == x.To || !x.Change.Low.OK() || !x.Expected.Change.OK() {
				continue
			}
			seen.Add(results.Difference{Low: x.Change.Low, High: x.Change.High}.Verdict())
			w := float64(x.Movements)
			change, expected, weight = change+w*float64(x.Change.Value), expected+w*float64(x.Expected.Change), weight+w
			atMost += w * float64(x.Expected.AtMost)
		}
	}
	change, expected, atMost = change/weight, expected/weight, atMost/weight
	t.Logf("change within the tooth %.3f, expected from method error %.3f, at most %.3f; %d of %d changes and %d of %d contrasts beyond chance",
		change, expected, atMost, seen.Decided, seen.Comparable, judged.Decided, judged.Comparable)
	assert.Greater(t, change, 0.03, "teeth chosen for a shortfall do better next time")
	assert.Greater(t, float64(seen.Decided), 0.15*float64(seen.Comparable), "a before-and-after reading would be fooled")
	assert.LessOrEqual(t, float64(judged.Decided), 0.05*float64(judged.Comparable))
	assert.Greater(t, expected, 0.0)
	assert.Less(t, expected, atMost)
	assert.GreaterOrEqual(t, change, 0.5*expected)
	assert.LessOrEqual(t, change, 1.3*atMost)
}

// TestSwitchFindsAnEffect: with a strong style effect in rotation the contrast
// of those that switched with those that kept points the right way.
func TestSwitchFindsAnEffect(t *testing.T) {
	params := sampledata.Default()
	params.Cases = 600
	params.StyleEffect = map[casebook.Direction]float64{casebook.MesialIn: -0.3, casebook.MesialOut: -0.3}
	ds, _ := sampledata.Generate(params, 5)
	p, err := rows.Prepare(ds, results.DefaultSettings())
	require.NoError(t, err)
	found := 0
	for _, c := range Answer(context.Background(), p).Contrasts {
		if c.By.Axis != casebook.Rotation {
			continue
		}
		switch c.Group.Name {
		case "switched from software-suggested to clinician-designed":
			assert.Equal(t, results.Lower, c.Verdict, c.Reading)
			assert.InDelta(t, -0.3, float64(c.Adjusted.Difference), 0.1)
			found++
		case "switched from clinician-designed to software-suggested":
			assert.Equal(t, results.Higher, c.Verdict, c.Reading)
			assert.InDelta(t, 0.3, float64(c.Adjusted.Difference), 0.1)
			found++
		}
	}
	assert.Equal(t, 2, found)
}
