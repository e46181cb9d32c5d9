package stats_test

import (
	_ "embed"
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/events"
	"shortfall/audit/stats/internal/statstest"
)

//go:embed testdata/events.json
var eventsJSON []byte

// Reference values of testdata/events.json, made by events.R beside it.
type reference struct {
	First map[string]struct {
		Time                         []float64
		Cause, Cluster, Group        []int
		Horizons, Incidence, SE      []float64
		Cmprsk, CmprskSE, Etm, EtmSE []float64
		Difference, DifferenceSE     []float64
	}
	Counts map[string]struct {
		Events              [][]float64
		End, Horizons, Mean []float64
		SE                  []float64
	}
}

func references(t *testing.T) (r reference) {
	t.Helper()
	require.NoError(t, json.Unmarshal(eventsJSON, &r))
	require.Len(t, r.First, 4)
	require.Len(t, r.Counts, 3)
	return r
}

// factor is sqrt(m/(m-1)), which R leaves out.
func factor(m int) float64 { return math.Sqrt(float64(m) / float64(m-1)) }

// Incidence against survfit (influences summed by cluster), etm and cmprsk; where
// each case is its own cluster the standard error is etm's too.
func TestIncidenceAgainstR(t *testing.T) {
	for id, r := range references(t).First {
		got, err := events.Incidence(events.FirstEvents{Time: r.Time, Cause: r.Cause, Cluster: r.Cluster}, 1, r.Horizons, .95)
		require.NoError(t, err)
		alone, err := events.Incidence(events.FirstEvents{Time: r.Time, Cause: r.Cause, Cluster: nil}, 1, r.Horizons, .95)
		require.NoError(t, err)
		for k, e := range got {
			statstest.Near(t, r.Incidence[k], e.Value, 1e-10, 0, id)
			statstest.Near(t, r.Cmprsk[k], e.Value, 1e-10, 0, id)
			statstest.Near(t, r.Etm[k], e.Value, 1e-10, 0, id)
			statstest.Near(t, r.SE[k]*factor(e.Clusters), e.SE, 1e-9, 0, id)
			statstest.Near(t, r.EtmSE[k]*factor(len(r.Time)), alone[k].SE, 1e-9, 0, id)
			statstest.Near(t, r.CmprskSE[k], alone[k].SE, .06, 0, id, "another formula for the same")
			assert.True(t, 0 < e.Low && e.Low < e.Value && e.Value < e.High && e.High < 1)
		}
		if r.Group == nil {
			continue
		}
		var arms [2]events.FirstEvents
		for i, g := range r.Group {
			a := &arms[g-1]
			a.Time, a.Cause, a.Cluster = append(a.Time, r.Time[i]), append(a.Cause, r.Cause[i]), append(a.Cluster, r.Cluster[i])
		}
		diff, err := events.IncidenceDifference(arms[0], arms[1], 1, r.Horizons, .95)
		require.NoError(t, err)
		for k, e := range diff {
			statstest.Near(t, r.Difference[k], e.Value, 1e-9, 1e-3, id)
			statstest.Near(t, r.DifferenceSE[k]*factor(e.Clusters), e.SE, 1e-9, 0, id)
		}
	}
}

// Mean counts against survfit: Nelson's valve seats (in R's survival as valveSeat) and two trials, robust standard errors.
func TestMeanCountAgainstR(t *testing.T) {
	for id, r := range references(t).Counts {
		got, err := events.MeanCount(events.Recurrences{Events: r.Events, End: r.End}, r.Horizons, .95)
		require.NoError(t, err)
		for k, e := range got {
			statstest.Near(t, r.Mean[k], e.Value, 1e-10, 0, id)
			statstest.Near(t, r.SE[k]*factor(len(r.End)), e.SE, 1e-9, 0, id)
		}
	}
}

// Endings that are final and a first event that recurs at most once are a
// competing risk: the mean count is then the cumulative incidence, with its error.
func TestMeanCountOfSingleEventsIsIncidence(t *testing.T) {
	for id, r := range references(t).First {
		rec := events.Recurrences{End: r.Time, Cluster: r.Cluster}
		for i, c := range r.Cause {
			rec.Final = append(rec.Final, c != 0)
			rec.Events = append(rec.Events, nil)
			if c == 1 {
				rec.Events[i] = []float64{r.Time[i]}
			}
		}
		want, err := events.Incidence(events.FirstEvents{Time: r.Time, Cause: r.Cause, Cluster: r.Cluster}, 1, r.Horizons, .95)
		require.NoError(t, err)
		got, err := events.MeanCount(rec, r.Horizons, .95)
		require.NoError(t, err)
		for k := range want {
			statstest.Near(t, want[k].Value, got[k].Value, 1e-10, 0, id)
			statstest.Near(t, want[k].SE, got[k].SE, 1e-9, 0, id)
		}
	}
}

// practice draws cases whose refinements come at a rate that differs between
// clinicians, that end for good or are still open. Invented data.
func practice(r *rand.Rand, clinicians, each int) (f events.FirstEvents, rec events.Recurrences) {
	for c := range clinicians {
		rate := .05 * math.Exp(.3*r.NormFloat64())
		for range each {
			ends, looked := 3+r.ExpFloat64()*30, 4+36*r.Float64()
			end := math.Ceil(min(ends, looked))
			var events []float64
			for t := r.ExpFloat64() / rate; t < min(ends, looked); t += r.ExpFloat64() / rate {
				events = append(events, math.Min(end, math.Ceil(t)))
			}
			rec.Events, rec.End = append(rec.Events, events), append(rec.End, end)
			rec.Final, rec.Cluster = append(rec.Final, ends <= looked), append(rec.Cluster, c)
			time, cause := end, 0
			switch {
			case len(events) > 0:
				time, cause = events[0], 1
			case ends <= looked:
				cause = 2
			}
			f.Time, f.Cause, f.Cluster = append(f.Time, time), append(f.Cause, cause), append(f.Cluster, c)
		}
	}
	return f, rec
}

// The standard error is that of leaving out one cluster at a time, nearly.
func TestErrorsAreThoseOfTheJackknife(t *testing.T) {
	f, rec := practice(rand.New(rand.NewPCG(1, 5)), 60, 3)
	horizons := []float64{6, 12, 20}
	first, err := events.Incidence(f, 1, horizons, .95)
	require.NoError(t, err)
	counts, err := events.MeanCount(rec, horizons, .95)
	require.NoError(t, err)
	for k := range horizons {
		var sum, sum2, m, msum, msum2 float64
		for c := range 60 {
			var g events.FirstEvents
			var h events.Recurrences
			for i := range f.Time {
				if f.Cluster[i] != c {
					g.Time, g.Cause = append(g.Time, f.Time[i]), append(g.Cause, f.Cause[i])
					h.Events, h.End, h.Final = append(h.Events, rec.Events[i]), append(h.End, rec.End[i]), append(h.Final, rec.Final[i])
				}
			}
			a, err := events.Incidence(g, 1, horizons, .95)
			require.NoError(t, err)
			b, err := events.MeanCount(h, horizons, .95)
			require.NoError(t, err)
			m++
			sum += a[k].Value
			sum2 += a[k].Value * a[k].Value
			msum += b[k].Value
			msum2 += b[k].Value * b[k].Value
		}
		assert.InEpsilon(t, math.Sqrt((m-1)/m*(sum2-sum*sum/m)), first[k].SE, .03)
		assert.InEpsilon(t, math.Sqrt((m-1)/m*(msum2-msum*msum/m)), counts[k].SE, .03)
	}
}

// What nobody was followed to is not estimable; what nothing happened in has an
// exact limit; what all ended is known for ever.
func TestEndsOfFollowUp(t *testing.T) {
	f := events.FirstEvents{Time: []float64{3, 5, 8, 10}, Cause: []int{1, 0, 2, 0}}
	got, err := events.Incidence(f, 1, []float64{12, 10, 2}, .95)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(got[0].Value))
	assert.Equal(t, []string{"beyond-follow-up"}, statstest.WarningIDs(got[0].Warnings))
	assert.InDelta(t, .25, got[1].Value, 1e-12)
	assert.Equal(t, []int{1, 3}, []int{got[1].AtRisk, got[1].Known})
	assert.Equal(t, 0.0, got[2].Value)
	assert.InDelta(t, 1-math.Pow(.025, .25), got[2].High, 1e-12) // exact binomial, 0 of 4
	assert.Contains(t, statstest.WarningIDs(got[2].Warnings), "no-events")
	assert.Equal(t, []string{"few-clusters", "few-known"}, statstest.WarningIDs(got[1].Warnings))

	f.Cause[3] = 2 // all ended: the horizon is known
	got, err = events.Incidence(f, 1, []float64{100}, .95)
	require.NoError(t, err)
	assert.InDelta(t, .25, got[0].Value, 1e-12)

	rec := events.Recurrences{Events: [][]float64{{3, 4}, nil, {2}, nil}, End: []float64{6, 7, 9, 9}}
	counts, err := events.MeanCount(rec, []float64{1, 9, 9.5}, .95)
	require.NoError(t, err)
	assert.InDelta(t, -math.Log(.025)/4, counts[0].High, 1e-12) // exact Poisson, 0 in 4
	assert.InDelta(t, .75, counts[1].Value, 1e-12)
	assert.True(t, math.IsNaN(counts[2].Value))

	_, err = events.Incidence(events.FirstEvents{Time: []float64{0, 1}, Cause: []int{1, 0}}, 1, []float64{1}, .95)
	assert.ErrorContains(t, err, "time of case 0")
	_, err = events.Incidence(events.FirstEvents{Time: []float64{1}, Cause: []int{-1}}, 1, []float64{1}, .95)
	assert.ErrorContains(t, err, "cause of case 0")
	_, err = events.Incidence(f, 0, []float64{1}, .95)
	assert.ErrorContains(t, err, "cause 0")
	_, err = events.MeanCount(events.Recurrences{Events: [][]float64{{9}}, End: []float64{8}}, []float64{1}, .95)
	assert.ErrorContains(t, err, "event of case 0")
	_, err = events.MeanCount(rec, []float64{-1}, .95)
	assert.ErrorContains(t, err, "horizon")
	rec.Cluster = []int{1, 1, 2, 2}
	_, err = events.MeanCountDifference(rec, events.Recurrences{Events: rec.Events, End: rec.End}, []float64{1}, .95)
	assert.ErrorContains(t, err, "cluster ids")
	rec.Cluster = []int{1, 1, 1, 1}
	counts, err = events.MeanCount(rec, []float64{5}, .95)
	require.NoError(t, err)
	assert.Equal(t, []string{"one-case"}, statstest.WarningIDs(counts[0].Warnings))
	none, err := events.MeanCountDifference(rec, events.Recurrences{Events: nil, End: nil, Cluster: []int{}}, []float64{5}, .95)
	require.NoError(t, err)
	assert.Equal(t, []string{"no-data"}, statstest.WarningIDs(none[0].Warnings))
}

// Truth covered where histories are censored and other endings compete; the
// difference of two groups that do not differ is seen in 5 %. Invented data.
func TestCoverageOfCurves(t *testing.T) {
	runs := statstest.CoverageRuns()
	horizons := []float64{6, 12, 24}
	truth, mean := make([]float64, 3), make([]float64, 3)
	all := rand.New(rand.NewPCG(3, 3))
	const many = 400_000
	for range many { // one case each, followed to the end
		rate, ends := .05*math.Exp(.3*all.NormFloat64()), 3+all.ExpFloat64()*30
		n := 0
		for t := all.ExpFloat64() / rate; t < ends && t < 24; t += all.ExpFloat64() / rate {
			for k, h := range horizons {
				if t <= h {
					mean[k] += 1. / many
					if n == 0 {
						truth[k] += 1. / many
					}
				}
			}
			n++
		}
	}
	r := rand.New(rand.NewPCG(4, 4))
	held, heldMean, seen, called := make([]int, 3), make([]int, 3), make([]int, 3), 0
	for range runs {
		f, rec := practice(r, 40, 1)
		a, err := events.Incidence(f, 1, horizons, .95)
		require.NoError(t, err)
		b, err := events.MeanCount(rec, horizons, .95)
		require.NoError(t, err)
		for k := range horizons {
			if math.IsNaN(a[k].Value) || math.IsNaN(b[k].Value) {
				continue // nobody was followed so far
			}
			seen[k]++
			held[k] += statstest.Covers(a[k].Estimate, truth[k])
			heldMean[k] += statstest.Covers(b[k].Estimate, mean[k])
		}
		other, otherRec := practice(r, 40, 1)
		f.Cluster, other.Cluster, rec.Cluster, otherRec.Cluster = nil, nil, nil, nil
		d, err := events.IncidenceDifference(f, other, 1, horizons[1:2], .95)
		require.NoError(t, err)
		m, err := events.MeanCountDifference(rec, otherRec, horizons[1:2], .95)
		require.NoError(t, err)
		called += 2 - statstest.Covers(d[0].Estimate, 0) - statstest.Covers(m[0].Estimate, 0)
	}
	t.Logf("incidence %v, mean count %v of %v; nulls called %d of %d", held, heldMean, seen, called, 2*runs)
	for k := range horizons {
		assert.Greater(t, seen[k], runs*9/10)
		assert.InDelta(t, .955, float64(held[k])/float64(seen[k]), .02+statstest.CoverageSlack(runs), horizons[k])
		assert.InDelta(t, .955, float64(heldMean[k])/float64(seen[k]), .02+statstest.CoverageSlack(runs), horizons[k])
	}
	assert.Less(t, float64(called)/float64(2*runs), .055+statstest.CoverageSlack(runs))
}
