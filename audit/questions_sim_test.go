package audit

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask/attachment"
	"shortfall/audit/ask/losses"
	"shortfall/audit/ask/orientation"
	"shortfall/audit/ask/shape"
	"shortfall/audit/ask/staging"
	"shortfall/audit/ask/switches"
	"shortfall/audit/audittest"
	"shortfall/audit/between"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// TestNullsStaySilent: where nothing matters, at most 5 % of the comparisons
// end as higher or lower, in each family by itself.
func TestNullsStaySilent(t *testing.T) {
	n := audittest.Practices(t, 12)
	families := map[string]*audittest.Verdicts{"styles": {}, "matched strata": {}, "switches": {}, "staging": {}, "feature fit": {}, "attachment": {}, "shapes": {}, "sizes": {}, "loss ratio": {}}
	for seed := range uint64(n) {
		ds, _ := sampledata.Generate(audittest.NothingMatters(), 1000+seed)
		p, err := rows.Prepare(ds, results.DefaultSettings())
		require.NoError(t, err)
		cs, err := between.Comparisons(context.Background(), p)
		require.NoError(t, err)
		for i := range cs {
			families["styles"].Add(cs[i].Verdict)
		}
		matched, err := between.MatchedAll(context.Background(), p, cs)
		require.NoError(t, err)
		for i := range matched {
			families["matched strata"].Add(matched[i].Verdict)
		}
		families["switches"].Groups(switches.Answer(context.Background(), p).Contrasts)
		families["staging"].Groups(staging.Answer(context.Background(), p).Comparisons)
		families["feature fit"].Groups(orientation.Answer(context.Background(), p).Comparisons)
		families["attachment"].Groups(attachment.Answer(context.Background(), p).Comparisons)
		geometry := shape.Answer(context.Background(), p)
		families["shapes"].Groups(geometry.Shapes)
		families["sizes"].Groups(geometry.Sizes)
		if r := losses.Rates(p).Ratio; r != nil && r.Low.OK() {
			families["loss ratio"].Add(results.Difference{Low: r.Low - 1, High: r.High - 1}.Verdict())
		}
	}
	for name, v := range families {
		t.Logf("%s: %d of %d comparable ended higher or lower (%.1f %%), %d practices", name, v.Decided, v.Comparable, 100*float64(v.Decided)/float64(v.Comparable), n)
		require.Greater(t, v.Comparable, n/2, name)
		// The loss ratio and the matched strata are uncorrected tests that reject
		// 5 % in the long run: allow for three standard errors of that share.
		bound := 0.05 + 3*math.Sqrt(0.05*0.95/float64(v.Comparable))
		if corrected := name != "loss ratio" && name != "matched strata"; corrected {
			bound = 0.05
		}
		assert.LessOrEqual(t, float64(v.Decided), bound*float64(v.Comparable), name)
	}
}

// TestConfoundingIsAdjustedFor: with styles chosen by planned amount, the
// unadjusted difference misses the truth, the adjusted one and the matched one
// cover it about as often as they claim.
func TestConfoundingIsAdjustedFor(t *testing.T) {
	n := audittest.Practices(t, 16)
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
		cs, err := between.Comparisons(context.Background(), p)
		require.NoError(t, err)
		c := cs[slices.IndexFunc(cs, func(c results.Comparison) bool { return c.By == by })]
		m := between.Matched(p, &c, between.FeaturedRows(p, by))
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
