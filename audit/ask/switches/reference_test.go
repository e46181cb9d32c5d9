package switches

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"shortfall/audit/audittest"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// referencePairs are rotations that fell short, with a pair's two rows.
func referencePairs(t *testing.T) (kept, switched []pair, d *rows.Set) {
	d = &rows.Set{Settings: results.DefaultSettings()}
	for _, l := range audittest.ReadTable(t, "pairs.csv") {
		r := func(planned, achieved string, st casebook.Style) *rows.Row {
			return &rows.Row{
				Movement: &casebook.Movement{}, Cluster: int(audittest.Num(t, l["case"])), Axis: casebook.Rotation, Style: st,
				Planned: audittest.Num(t, l[planned]), Achieved: audittest.Num(t, l[achieved]),
			}
		}
		next := casebook.SoftwareSuggested
		if l["switched"] == "1" {
			next = casebook.ClinicianDesigned
		}
		x := pair{r("planned1", "achieved1", casebook.SoftwareSuggested), r("planned2", "achieved2", next)}
		d.Analysed = append(d.Analysed, *x.first)
		if x.first.Style == x.next.Style {
			kept = append(kept, x)
		} else {
			switched = append(switched, x)
		}
	}
	return kept, switched, d
}

func TestChangeWithinToothAgainstR(t *testing.T) {
	kept, _, p := referencePairs(t)
	var out results.SwitchPath
	pathEstimates(p, &out, kept)
	for name, c := range map[string]struct {
		got  results.Spread
		want [5]float64
	}{
		"first":  {out.First, [5]float64{0.382508342602892, 0.0338394456188372, 10.8968399054672, 0.307942107844550, 0.457074577361234}},
		"next":   {out.Next, [5]float64{0.450349020490880, 0.0550485604836327, 10.9294329829308, 0.32909244330052, 0.571605597681241}},
		"change": {out.Change, [5]float64{0.0678406778879883, 0.0452994093341399, 11.2381436562696, -0.0316054826480287, 0.167286838424005}},
	} {
		got := [5]float64{float64(c.got.Value), float64(c.got.SE), float64(c.got.DF), float64(c.got.Low), float64(c.got.High)}
		for i := range got {
			assert.InEpsilon(t, c.want[i], got[i], 1e-9, "%s, number %d", name, i)
		}
	}
}

func TestRegressionToTheMeanAgainstR(t *testing.T) {
	_, switched, p := referencePairs(t)
	k := switchPath{casebook.Rotation, casebook.SoftwareSuggested, casebook.ClinicianDesigned}
	e := regressionToMean(p, k, switched, map[measured]float64{{unit: casebook.Degree}: 1.1})
	want := []float64{0.3802116537039398, 0.3548387096774194, 0.1270564300438998, 0.1038300429269326, 0.5995887640590822, 0.0180333110818858, 0.0450369756470737}
	for i, got := range []results.Number{e.MeanAll, e.MeanSelected, e.BetweenSD, e.ErrorSD, e.Reliability, e.Change, e.AtMost} {
		assert.InEpsilon(t, want[i], float64(got), 1e-10, "number %d", i)
	}
	none := regressionToMean(p, k, switched, nil)
	assert.False(t, none.Change.OK(), "without repeats the method error is not known")
	assert.Equal(t, e.AtMost, none.AtMost)
}

// TestErrorBelongsToItsWay: one result measured in a way without an error on record,
// and how much of a change is error cannot be told.
func TestErrorBelongsToItsWay(t *testing.T) {
	_, switched, p := referencePairs(t)
	k := switchPath{casebook.Rotation, casebook.SoftwareSuggested, casebook.ClinicianDesigned}
	p.Analysed[3].Method = casebook.Models
	scans := map[measured]float64{{unit: casebook.Degree}: 1.1}
	assert.False(t, regressionToMean(p, k, switched, scans).ErrorSD.OK())
	both := map[measured]float64{{unit: casebook.Degree}: 1.1, {casebook.Degree, casebook.Models}: 30}
	alone := regressionToMean(p, k, switched, map[measured]float64{{unit: casebook.Degree}: 1.1, {casebook.Degree, casebook.Models}: 1.1})
	assert.Greater(t, regressionToMean(p, k, switched, both).ErrorSD, alone.ErrorSD)
}
