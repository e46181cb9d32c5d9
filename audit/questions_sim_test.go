package audit

import (
	"context"
	"math"
	"os"
	"strconv"
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

// practices is the number of simulated practices: a few by default, as many as
// SHORTFALL_PRACTICES says in the long form (200 or more; about 0.3 s each).
func practices(t *testing.T, short int) int {
	if s := os.Getenv("SHORTFALL_PRACTICES"); s != "" {
		n, err := strconv.Atoi(s)
		require.NoError(t, err)
		return n
	}
	return short
}

// nothingMatters is a practice in which neither style, staging nor orientation
// changes anything. Software suggests for large plans and results regress to
// the mean all the same.
func nothingMatters() sampledata.Params {
	p := sampledata.Default()
	p.StyleEffect, p.NoneEffect, p.StagingEffect = nil, nil, 0
	p.LostEffect = 0 // only a bonded feature can be lost, so losing is part of what a style does
	return p
}

// verdicts counts comparisons that could be made and those that ended higher
// or lower.
type verdicts struct{ comparable, decided int }

func (v *verdicts) add(x results.Verdict) {
	v.comparable += measure.OneIf(x != results.NotComparable)
	v.decided += measure.OneIf(x == results.Higher || x == results.Lower)
}

func (v *verdicts) groups(cs []results.GroupComparison) {
	for i := range cs {
		v.add(cs[i].Verdict)
	}
}

// TestNullsStaySilent: where nothing matters, at most 5 % of the comparisons
// end as higher or lower, in each family by itself.
func TestNullsStaySilent(t *testing.T) {
	n := practices(t, 12)
	families := map[string]*verdicts{"styles": {}, "matched strata": {}, "switches": {}, "staging": {}, "feature fit": {}, "loss ratio": {}}
	for seed := range uint64(n) {
		ds, _ := sampledata.Generate(nothingMatters(), 1000+seed)
		p, err := rows.Prepare(ds, results.DefaultSettings())
		require.NoError(t, err)
		cs, err := between.Comparisons(p, context.Background())
		require.NoError(t, err)
		for i := range cs {
			families["styles"].add(cs[i].Verdict)
		}
		matched, err := between.MatchedAll(p, context.Background(), cs)
		require.NoError(t, err)
		for i := range matched {
			families["matched strata"].add(matched[i].Verdict)
		}
		families["switches"].groups(switches(p).Contrasts)
		families["staging"].groups(staging(p).Comparisons)
		families["feature fit"].groups(featureFit(p).Comparisons)
		if r := lossRates(p).Ratio; r != nil && r.Low.OK() {
			families["loss ratio"].add(between.PlainVerdict(results.Difference{Low: r.Low - 1, High: r.High - 1}))
		}
	}
	for name, v := range families {
		t.Logf("%s: %d of %d comparable ended higher or lower (%.1f %%), %d practices", name, v.decided, v.comparable, 100*float64(v.decided)/float64(v.comparable), n)
		require.Greater(t, v.comparable, n/2, name)
		// The loss ratio and the matched strata are uncorrected tests that reject
		// 5 % in the long run: allow for three standard errors of that share.
		bound := 0.05 + 3*math.Sqrt(0.05*0.95/float64(v.comparable))
		if corrected := name != "loss ratio" && name != "matched strata"; corrected {
			bound = 0.05
		}
		assert.LessOrEqual(t, float64(v.decided), bound*float64(v.comparable), name)
	}
}

// TestRegressionToTheMeanIsNoEffect: where nothing matters the change within
// the tooth after a switch is far from nothing, because the teeth were chosen
// for their shortfall, and the comparison with those that kept their style
// still says nothing. The expected change accounts for what is seen.
func TestRegressionToTheMeanIsNoEffect(t *testing.T) {
	n := practices(t, 10)
	var seen verdicts // of the change within the tooth
	var judged verdicts
	var change, expected, atMost, weight float64
	for seed := range uint64(n) {
		params := nothingMatters()
		params.NoiseMM, params.NoiseDeg = 0.25, 2.2 // a poor method of measurement
		ds, _ := sampledata.Generate(params, 2000+seed)
		p, err := rows.Prepare(ds, results.DefaultSettings())
		require.NoError(t, err)
		s := switches(p)
		judged.groups(s.Contrasts)
		for _, x := range s.Paths {
			if x.From == x.To || !x.Change.Low.OK() || !x.Expected.Change.OK() {
				continue
			}
			seen.add(between.PlainVerdict(results.Difference{Low: x.Change.Low, High: x.Change.High}))
			w := float64(x.Movements)
			change, expected, weight = change+w*float64(x.Change.Value), expected+w*float64(x.Expected.Change), weight+w
			atMost += w * float64(x.Expected.AtMost)
		}
	}
	change, expected, atMost = change/weight, expected/weight, atMost/weight
	t.Logf("change within the tooth %.3f, expected from method error %.3f, at most %.3f; %d of %d changes and %d of %d contrasts beyond chance",
		change, expected, atMost, seen.decided, seen.comparable, judged.decided, judged.comparable)
	assert.Greater(t, change, 0.03, "teeth chosen for a shortfall do better next time")
	assert.Greater(t, float64(seen.decided), 0.15*float64(seen.comparable), "a before-and-after reading would be fooled")
	assert.LessOrEqual(t, float64(judged.decided), 0.05*float64(judged.comparable))
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
	for _, c := range switches(p).Contrasts {
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

// TestConfoundingIsAdjustedFor: with styles chosen by planned amount, the
// unadjusted difference misses the truth, the adjusted one and the matched one
// cover it about as often as they claim.
func TestConfoundingIsAdjustedFor(t *testing.T) {
	n := practices(t, 16)
	params := sampledata.Default()
	params.Confounding, params.Cases = 2, 300
	params.SlopePerDegree = -0.02
	by := results.By{Axis: casebook.Rotation, Direction: casebook.MesialIn, Course: results.Initial}
	truth := results.Number(params.StyleEffect[casebook.MesialIn])
	var in [3]int
	for seed := range uint64(n) {
		ds, _ := sampledata.Generate(params, 3000+seed)
		p, err := rows.Prepare(ds, results.DefaultSettings())
		require.NoError(t, err)
		rows := between.FeaturedLists(p).Rows(p, by)
		c := between.Compare(p, by, rows)
		m := between.Matched(p, &c, rows)
		for k, d := range []results.Difference{c.Unadjusted, c.Adjusted, m.Matched} {
			require.True(t, d.Low.OK())
			in[k] += measure.OneIf(d.Low <= truth && truth <= d.High)
		}
	}
	t.Logf("of %d practices the interval covers the truth: unadjusted %d, adjusted %d, matched %d", n, in[0], in[1], in[2])
	assert.Less(t, in[0], n*3/4, "unadjusted")
	assert.Greater(t, float64(in[1]), 0.85*float64(n)-1, "adjusted")
	assert.Greater(t, in[2], in[0], "matched strata are far closer than no adjustment")
}

// TestBandHolds: of new movements the band holds the share it promises,
// checked on another practice drawn from the same parameters.
func TestBandHolds(t *testing.T) {
	params := sampledata.Default()
	params.Cases = 400
	ds, _ := sampledata.Generate(params, 11)
	p, err := rows.Prepare(ds, results.DefaultSettings())
	require.NoError(t, err)
	fresh, _ := sampledata.Generate(params, 12)
	q, err := rows.Prepare(fresh, results.DefaultSettings())
	require.NoError(t, err)
	inside, total := 0, 0
	held, tested := 0, 0
	var out results.Outlook
	expectations(p, &out)
	require.NotEmpty(t, out.Expected)
	for _, e := range out.Expected {
		held, tested = held+e.Held.Numerator, tested+e.Held.Denominator
		for i := range q.Analysed {
			r := &q.Analysed[i]
			near := r.Planned > 0.9*float64(e.Planned) && r.Planned < 1.1*float64(e.Planned)
			if rows.Holds(e.By, r) && near {
				total++
				inside += measure.OneIf(r.Achieved >= float64(e.Low) && r.Achieved <= float64(e.High))
			}
		}
	}
	t.Logf("band of 80 %%: holds %.3f of %d new movements; by its own check %.3f", float64(inside)/float64(total), total, float64(held)/float64(tested))
	assert.InDelta(t, 0.8, float64(inside)/float64(total), 0.04)
	assert.InDelta(t, 0.8, float64(held)/float64(tested), 0.04)
}
