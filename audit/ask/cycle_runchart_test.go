package ask_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask/cycle"
	"shortfall/audit/disclose"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/series"
	"shortfall/ingest/casebook"
)

// TestRunRulesAreNamed: an alarm stands at the quarter where its run is
// complete, in words; an empty quarter breaks the run; a clipped limit does not
// shorten the standard deviation.
func TestRunRulesAreNamed(t *testing.T) {
	rules := func(values ...float64) (out []string) {
		c := results.RunChart{Centre: 0.1}
		for i, v := range values {
			pt := results.RunPoint{Quarter: series.QuarterName(8100 + i), Value: measure.OrMissing(v), Low: 0, High: 0.4}
			if math.IsNaN(v) {
				pt.Low, pt.High = results.NotEstimable, results.NotEstimable
			}
			c.Points = append(c.Points, pt)
		}
		cycle.ApplyRules(&c)
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
	var parts []series.Part
	for q := range 8 {
		for i := range 50 {
			parts = append(parts, series.Part{Cluster: q*50 + i, Quarter: 8100 + q, Month: casebook.Month(3 * (8100 + q)), Num: float64(measure.OneIf(i < 5)), Den: 1, N: 1})
		}
	}
	k := &results.Criterion{Measure: results.OutsideTolerance}
	for q := range 8 {
		k.Baseline = append(k.Baseline, series.QuarterName(8100+q))
	}
	p := &rows.Set{Settings: results.DefaultSettings()}
	c := cycle.RunChart(p, disclose.Rule{}, k, parts, nil)
	require.Len(t, c.Points, 8)
	assert.InDelta(t, 0.1, float64(c.Centre), 1e-12)
	assert.InDelta(t, 0.1+3*math.Sqrt(0.1*0.9/50*400/399), float64(c.Points[0].High), 1e-12)
	assert.InDelta(t, 0.2272792, float64(c.Points[0].High), 2e-4)
	assert.Zero(t, float64(c.Points[0].Low))
	assert.Empty(t, c.Breaches)
	early := slices.Clone(parts)
	for i := range early {
		if early[i].Quarter == 8103 { // the outcome may still come
			early[i].Num, early[i].Immature = 1, true
		}
	}
	c = cycle.RunChart(p, disclose.Rule{}, k, early, nil)
	assert.InDelta(t, 0.1, float64(c.Centre), 1e-12, "an immature quarter enters no limit")
	assert.False(t, c.Points[3].High.OK())
	k.Baseline = k.Baseline[:p.Settings.Questions.BaselineQuarters]
	require.True(t, cycle.RunChart(p, disclose.Rule{}, k, parts, nil).Centre.OK())
	assert.Equal(t, "short-baseline", cycle.RunChart(p, disclose.Rule{}, k, early, nil).Warnings[0].ID, "it makes no baseline either")
	short := *k
	short.Baseline = k.Baseline[:3]
	c = cycle.RunChart(p, disclose.Rule{}, &short, parts, nil)
	assert.False(t, c.Centre.OK(), "three quarters are no baseline")
	assert.Equal(t, "short-baseline", c.Warnings[0].ID)
}

// TestClusteringWidensRunChart: the same shares with whole cases in or out of
// tolerance have wider limits.
func TestClusteringWidensRunChart(t *testing.T) {
	parts := make([]series.Part, 0, 400)
	for i := range 400 {
		parts = append(parts, series.Part{Cluster: i / 10, Quarter: 8100 + i/100, Num: float64(measure.OneIf(i%100 < 30)), Den: 1, N: 1})
	}
	k := &results.Criterion{Measure: results.OutsideTolerance, Baseline: []string{series.QuarterName(8100), series.QuarterName(8101), series.QuarterName(8102), series.QuarterName(8103)}}
	p := &rows.Set{Settings: results.DefaultSettings()}
	c := cycle.RunChart(p, disclose.Rule{}, k, parts, nil)
	assert.InDelta(t, 10.0*40/39, float64(c.Effect), 1e-9, "ten movements a case, all alike")
	wide := float64(c.Points[0].High - c.Centre)
	assert.InDelta(t, 3*math.Sqrt(0.21*10*40/39/100), wide, 1e-9)
}

func TestEmptyQuarterIsAGap(t *testing.T) {
	parts := []series.Part{{Cluster: 1, Quarter: 8100, Month: 24300, Num: 1, Den: 1, N: 1}, {Cluster: 2, Quarter: 8102, Month: 24306, Num: 0, Den: 1, N: 1}, {Cluster: 3, Quarter: series.NoQuarter, Num: 1, Den: 1, N: 1}}
	p := &rows.Set{Settings: results.DefaultSettings()}
	c := cycle.RunChart(p, disclose.Rule{}, &results.Criterion{Measure: results.OutsideTolerance}, parts, nil)
	require.Len(t, c.Points, 3)
	assert.False(t, c.Points[1].Value.OK())
	assert.Zero(t, c.Points[1].Cases)
	assert.Equal(t, 1, c.NoQuarter)
}
