package ask_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask/funnels"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/series"
	"shortfall/sampledata"
)

func TestFunnelNeedsUnits(t *testing.T) {
	ds, _ := sampledata.Generate(sampledata.Default(), 3)
	s := results.DefaultSettings()
	p, err := rows.Prepare(ds, s)
	require.NoError(t, err)
	all := funnels.Answer(p)
	require.Len(t, all, 4)
	assert.True(t, all[0].Shown)
	assert.Len(t, all[0].Points, 4)
	for i := 1; i < 4; i++ {
		assert.Less(t, all[0].Points[i-1].Code, all[0].Points[i].Code, "by code, never by value")
	}
	assert.False(t, all[2].Shown, "one practice is no funnel")
	assert.Contains(t, all[2].Reason, "3 practices")
	p.Settings.Questions.FunnelMinCases = 1000
	f := funnels.Answer(p)[0]
	assert.False(t, f.Shown)
	assert.Equal(t, 4, f.LeftOut)
	assert.Empty(t, f.Points)
}

// TestFunnelAllowsForClustering: twenty movements a case that are all alike are worth one;
// where cases are refined or not there is nothing to allow for.
func TestFunnelAllowsForClustering(t *testing.T) {
	byCode := map[string][]series.Part{}
	for k, code := range []string{"A", "B", "C", "D"} {
		for i := range 800 {
			n := i / 20 // of the case
			byCode[code] = append(byCode[code], series.Part{Cluster: 100*k + n, Num: float64(n % 2), Den: 1, N: 1})
		}
	}
	p := &rows.Set{Settings: results.DefaultSettings()}
	f := results.Funnel{Units: "clinician"}
	funnels.Draw(p, &f, &results.Criterion{Measure: results.OutsideTolerance}, byCode)
	assert.InDelta(t, 20, float64(f.Effect), 1)
	assert.InDelta(t, 40, float64(f.Points[0].Effective), 2)
	assert.Contains(t, f.Reading, "within chance")
	assert.NotContains(t, f.Reading, "case mix", "nothing was adjusted for it")
	f = results.Funnel{Units: "clinician"}
	funnels.Draw(p, &f, &results.Criterion{Measure: results.CasesRefined}, byCode)
	assert.InDelta(t, 1, float64(f.Effect), 0)
}

func TestFunnelStandsAtEffectiveSize(t *testing.T) {
	f := results.Funnel{Target: 0.5, Points: []results.FunnelPoint{{Total: 100, Value: 0.5}, {Total: 50, Value: 0.5}}}
	funnels.Place(&f, 2.5)
	assert.Equal(t, []results.Number{40, 20}, []results.Number{f.Points[0].Effective, f.Points[1].Effective})
}

// TestFunnelLimits: exact binomial limits interpolated as in appendix A.1.1 of
// Spiegelhalter 2005 (Stat Med 24:1185-1202), the formula from memory; values
// computed with R 4.2.2 from qbinom, pbinom and dbinom.
func TestFunnelLimits(t *testing.T) {
	for _, c := range []struct {
		target results.Number
		size   float64
		shrink float64
		want   [4]results.Number
	}{
		{0.5, 20, 1, [4]results.Number{.1367358, .2558235, .6941765, .8132642}},
		{0.5, 100, 2, [4]results.Number{.2727708, .3507023, .6292977, .7072292}}, // half the size
		{0.1, 100, 1, [4]results.Number{.0141789, .0403806, .1577186, .1983567}},
	} {
		f := results.Funnel{Target: c.target}
		l := funnels.LimitAt(&f, c.size, c.shrink)
		for i, got := range []results.Number{l.Low998, l.Low95, l.High95, l.High998} {
			assert.InDelta(t, float64(c.want[i]), float64(got), 5e-8, "target %v, size %v, limit %d", c.target, c.size, i)
		}
	}
}

func TestFunnelWidensForOverdispersion(t *testing.T) {
	place := func(events ...int) *results.Funnel {
		f := &results.Funnel{Target: 0.5, Units: "clinician"}
		for i, e := range events {
			f.Points = append(f.Points, results.FunnelPoint{Code: string(rune('A' + i)), Cases: 100, Total: 100, Events: e, Value: results.Number(e) / 100})
		}
		funnels.Place(f, 1)
		return f
	}
	calm := place(45, 55, 48, 52, 50, 53, 47, 50)
	assert.False(t, calm.Inflated)
	spread := place(30, 70, 35, 65, 40, 60, 32, 68)
	assert.True(t, spread.Inflated)
	assert.Less(t, float64(spread.Limits[30].Low95), float64(calm.Limits[30].Low95))
	for _, pt := range spread.Points {
		assert.False(t, pt.Beyond998, "what all units share is no alarm for one")
	}
	lone := place(50, 50, 50, 50, 50, 50, 50, 75)
	assert.True(t, lone.Points[7].Beyond998)
	funnels.Read(lone, 10)
	assert.Contains(t, lone.Reading, "1 beyond the 99.8")
	assert.NotContains(t, lone.Reading, "H", "no code in words")
}

// TestFewUnitsProveNothing: four clinicians say nothing of clinicians; ten may be read.
func TestFewUnitsProveNothing(t *testing.T) {
	for n, want := range map[int]bool{4: true, 9: true, 10: false} {
		f := results.Funnel{Units: "clinician", Points: make([]results.FunnelPoint, n)}
		funnels.Read(&f, 10)
		assert.Equal(t, want, strings.Contains(f.Reading, "prove nothing about clinicians"), n)
	}
}

// TestFunnelSaysWhatItCounts: completed cases, where none can be followed from its start.
func TestFunnelSaysWhatItCounts(t *testing.T) {
	ds, _ := sampledata.Generate(sampledata.Default(), 3)
	for i := range ds.Courses {
		ds.Courses[i].Start = 0
	}
	p, err := rows.Prepare(ds, results.DefaultSettings())
	require.NoError(t, err)
	assert.Equal(t, "completed cases with at least one refinement", funnels.Answer(p)[0].Measure)
}
