package stats_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/events"
	"shortfall/audit/stats/internal/statstest"
)

// Order, labels and the unit of time change nothing; without open histories the
// curve is the share, and the mean count the mean, with their textbook errors; arms
// mirrored are differences mirrored; a wider level is a wider interval; causes
// share out what has happened.
// Its length is that of the laws, which share one set of histories.
func TestLawsOfEvents(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	f, rec := practice(r, 20, 3)
	other, otherRec := practice(r, 20, 2)
	horizons := []float64{6, 12, 18}
	inDays := []float64{18 * 30, 6 * 30, 12 * 30}
	var g events.FirstEvents
	var h events.Recurrences
	for _, i := range r.Perm(len(f.Time)) {
		g.Time, g.Cause, g.Cluster = append(g.Time, 30*f.Time[i]), append(g.Cause, f.Cause[i]), append(g.Cluster, -7*f.Cluster[i])
		var events []float64
		for _, e := range rec.Events[i] {
			events = append(events, 30*e)
		}
		h.Events, h.End = append(h.Events, events), append(h.End, 30*rec.End[i])
		h.Final, h.Cluster = append(h.Final, rec.Final[i]), append(h.Cluster, -7*rec.Cluster[i])
	}
	run := func(f events.FirstEvents, rec events.Recurrences, horizons []float64, level float64) (a, b []events.At) {
		a, err := events.Incidence(f, 1, horizons, level)
		require.NoError(t, err)
		b, err = events.MeanCount(rec, horizons, level)
		require.NoError(t, err)
		return a, b
	}
	a, b := run(f, rec, horizons, .95)
	a2, b2 := run(g, h, inDays, .95)
	wide, wideMean := run(f, rec, horizons, .99)
	second, err := events.Incidence(f, 2, horizons, .95)
	require.NoError(t, err)
	for k := range horizons {
		statstest.SameEstimate(t, a[k].Estimate, a2[(k+1)%3].Estimate, 1e-10, "incidence")
		statstest.SameEstimate(t, b[k].Estimate, b2[(k+1)%3].Estimate, 1e-10, "mean count")
		assert.True(t, wide[k].Low < a[k].Low && a[k].High < wide[k].High)
		assert.True(t, wideMean[k].Low < b[k].Low && b[k].High < wideMean[k].High)
		assert.Less(t, a[k].Value+second[k].Value, 1.0)
		if k > 0 {
			assert.GreaterOrEqual(t, a[k].Value, a[k-1].Value)
			assert.GreaterOrEqual(t, b[k].Value, b[k-1].Value)
		}
		assert.GreaterOrEqual(t, b[k].Value, a[k].Value, "as many refinements as cases refined, at least")
	}
	d, err := events.IncidenceDifference(f, other, 1, horizons, .95)
	require.NoError(t, err)
	back, err := events.IncidenceDifference(other, f, 1, horizons, .95)
	require.NoError(t, err)
	m, err := events.MeanCountDifference(rec, otherRec, horizons, .95)
	require.NoError(t, err)
	mBack, err := events.MeanCountDifference(otherRec, rec, horizons, .95)
	require.NoError(t, err)
	c, n := run(other, otherRec, horizons, .95)
	for k := range horizons {
		assert.InDelta(t, a[k].Value-c[k].Value, d[k].Value, 1e-12)
		assert.InDelta(t, b[k].Value-n[k].Value, m[k].Value, 1e-12)
		assert.InDelta(t, -d[k].Low, back[k].High, 1e-12)
		assert.InDelta(t, -m[k].Low, mBack[k].High, 1e-12)
		assert.InDelta(t, d[k].P, back[k].P, 1e-12)
		assert.Equal(t, []float64{18, 18}, []float64{d[k].DF, m[k].DF}, "20 clinicians, in both groups")
	}

	// nobody is open
	var whole events.FirstEvents
	var wholeRec events.Recurrences
	var share, count, count2, cases float64
	for i := range f.Time {
		whole.Time, whole.Cause = append(whole.Time, f.Time[i]), append(whole.Cause, 1+i%3%2)
		wholeRec.Events, wholeRec.End = append(wholeRec.Events, rec.Events[i]), append(wholeRec.End, 40)
		cases++
		if f.Time[i] <= 12 && 1+i%3%2 == 1 {
			share++
		}
		own := 0.0
		for _, e := range rec.Events[i] {
			if e <= 12 {
				own++
			}
		}
		count += own
		count2 += own * own
	}
	a, b = run(whole, wholeRec, []float64{12}, .95)
	p := share / cases
	assert.InDelta(t, p, a[0].Value, 1e-12)
	assert.InDelta(t, math.Sqrt(p*(1-p)/(cases-1)), a[0].SE, 1e-12)
	assert.InDelta(t, count/cases, b[0].Value, 1e-12)
	assert.InDelta(t, math.Sqrt((count2/cases-count/cases*count/cases)/(cases-1)), b[0].SE, 1e-12)
}
