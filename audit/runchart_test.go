package audit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// TestRunRulesAreNamed: an alarm stands at the quarter where its run is
// complete, in words; an empty quarter breaks the run; a clipped limit does not
// shorten the standard deviation.
func TestRunRulesAreNamed(t *testing.T) {
	rules := func(values ...float64) (out []string) {
		c := results.RunChart{Centre: 0.1}
		for i, v := range values {
			pt := results.RunPoint{Quarter: quarterName(8100 + i), Value: measure.OrMissing(v), Low: 0, High: 0.4}
			if math.IsNaN(v) {
				pt.Low, pt.High = results.NotEstimable, results.NotEstimable
			}
			c.Points = append(c.Points, pt)
		}
		applyRules(&c)
		for _, b := range c.Breaches {
			out = append(out, b.Text)
		}
		return out
	}
	assert.Empty(t, rules(0.2, 0.05, 0.39, 0.0))
	assert.Equal(t, []string{"2025 Q2: beyond the control limits"}, rules(0.2, 0.41))
	assert.Empty(t, rules(.11, .15, .12, .14, .13, .16, .11, .12))
	assert.Len(t, rules(.11, .15, .12, .14, .13, .16, .11, .12, .11), 1)
	assert.Empty(t, rules(.11, .15, .12, .14, math.NaN(), .13, .16, .11, .12, .11))
	assert.Len(t, rules(0, .05, .1, .13, .16, .19), 1)
}

// TestPChartLimits: with one movement a case nothing is clustered and the
// limits are the textbook p-chart's: p = 0.1, n = 50 gives 0.2272792 and, cut
// off at 0, -0.0272792 (standard formula; computed with R 4.2.2), here with
// the sample variance's n/(n-1).
func TestPChartLimits(t *testing.T) {
	var parts []part
	for q := range 8 {
		for i := range 50 {
			parts = append(parts, part{cluster: q*50 + i, quarter: 8100 + q, month: casebook.Month(3 * (8100 + q)), num: float64(measure.OneIf(i < 5)), den: 1, n: 1})
		}
	}
	k := &results.Criterion{Measure: results.OutsideTolerance}
	for q := range 8 {
		k.Baseline = append(k.Baseline, quarterName(8100+q))
	}
	p := &rows.Set{Settings: results.DefaultSettings()}
	c := runChart(p, k, parts, nil)
	require.Len(t, c.Points, 8)
	assert.InDelta(t, 0.1, float64(c.Centre), 1e-12)
	assert.InDelta(t, 0.1+3*math.Sqrt(0.1*0.9/50*400/399), float64(c.Points[0].High), 1e-12)
	assert.InDelta(t, 0.2272792, float64(c.Points[0].High), 2e-4)
	assert.Zero(t, float64(c.Points[0].Low))
	assert.Empty(t, c.Breaches)
	short := *k
	short.Baseline = k.Baseline[:3]
	c = runChart(p, &short, parts, nil)
	assert.False(t, c.Centre.OK(), "three quarters are no baseline")
	assert.Equal(t, "short-baseline", c.Warnings[0].ID)
}

// TestClusteringWidensRunChart: the same shares with whole cases in or out of
// tolerance have wider limits.
func TestClusteringWidensRunChart(t *testing.T) {
	parts := make([]part, 0, 400)
	for i := range 400 {
		parts = append(parts, part{cluster: i / 10, quarter: 8100 + i/100, num: float64(measure.OneIf(i%100 < 30)), den: 1, n: 1})
	}
	k := &results.Criterion{Measure: results.OutsideTolerance, Baseline: []string{quarterName(8100), quarterName(8101), quarterName(8102), quarterName(8103)}}
	p := &rows.Set{Settings: results.DefaultSettings()}
	c := runChart(p, k, parts, nil)
	assert.InDelta(t, 10.0*40/39, float64(c.Effect), 1e-9, "ten movements a case, all alike")
	wide := float64(c.Points[0].High - c.Centre)
	assert.InDelta(t, 3*math.Sqrt(0.21*10*40/39/100), wide, 1e-9)
}

func TestEmptyQuarterIsAGap(t *testing.T) {
	parts := []part{{cluster: 1, quarter: 8100, month: 24300, num: 1, den: 1, n: 1}, {cluster: 2, quarter: 8102, month: 24306, num: 0, den: 1, n: 1}, {cluster: 3, quarter: noQuarter, num: 1, den: 1, n: 1}}
	p := &rows.Set{Settings: results.DefaultSettings()}
	c := runChart(p, &results.Criterion{Measure: results.OutsideTolerance}, parts, nil)
	require.Len(t, c.Points, 3)
	assert.False(t, c.Points[1].Value.OK())
	assert.Zero(t, c.Points[1].Cases)
	assert.Equal(t, 1, c.NoQuarter)
}
