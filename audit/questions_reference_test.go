package audit

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/stats/prop"
	"shortfall/ingest/casebook"
)

// The expected numbers of this file come from testdata/questions.R, run with R
// 4.2.2 and clubSandwich 0.5.8; the R calls are in that script.

// readTable reads a CSV of testdata by column name.
func readTable(t *testing.T, name string) (rows []map[string]string) {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	require.NoError(t, err)
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	for _, l := range lines[1:] {
		row := map[string]string{}
		for i, h := range lines[0] {
			row[h] = l[i]
		}
		rows = append(rows, row)
	}
	return rows
}

func num(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

// referencePairs are rotations that fell short, with a pair's two rows.
func referencePairs(t *testing.T) (kept, switched []pair, d *rows.Set) {
	d = &rows.Set{Settings: results.DefaultSettings()}
	for _, l := range readTable(t, "pairs.csv") {
		r := func(planned, achieved string, st casebook.Style) *rows.Row {
			return &rows.Row{
				Movement: &casebook.Movement{}, Cluster: int(num(t, l["case"])), Axis: casebook.Rotation, Style: st,
				Planned: num(t, l[planned]), Achieved: num(t, l[achieved]),
			}
		}
		next := casebook.SoftwareSuggested
		if l["switched"] == "1" {
			next = casebook.ClinicianDesigned
		}
		x := pair{r("planned1", "achieved1", casebook.SoftwareSuggested), r("planned2", "achieved2", next)}
		d.Analysed = append(d.Analysed, *x.first)
		if x.kept() {
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
	e := regressionToMean(p, k, switched, map[casebook.Unit]float64{casebook.Degree: 1.1})
	want := []float64{0.3802116537039398, 0.3548387096774194, 0.1270564300438998, 0.1038300429269326, 0.5995887640590822, 0.0180333110818858, 0.0450369756470737}
	for i, got := range []results.Number{e.MeanAll, e.MeanSelected, e.BetweenSD, e.ErrorSD, e.Reliability, e.Change, e.AtMost} {
		assert.InEpsilon(t, want[i], float64(got), 1e-10, "number %d", i)
	}
	none := regressionToMean(p, k, switched, nil)
	assert.False(t, none.Change.OK(), "without repeats the method error is not known")
	assert.Equal(t, e.AtMost, none.AtMost)
}

func TestSegmentedTrendAgainstR(t *testing.T) {
	parts, change := seatbeltParts(t)
	p := &rows.Set{Settings: results.DefaultSettings()}
	var out results.ChangeResult
	segmented(p, &out, &change, parts)
	beforeAfter(p, &out, &change, parts)
	for name, c := range map[string]struct {
		got  results.Difference
		want [5]float64 // estimate, SE, df, limits
	}{
		"trend before":    {out.SlopeBefore, [5]float64{-0.304803341454924, 0.112025708433678, 92.5893770941866, -0.527277199346459, -0.0823294835633898}},
		"step":            {out.Step, [5]float64{-32.918510419346553, 7.771011834704447, 12.3177496575356, -49.801775658005766, -16.0352451806873439}},
		"change of trend": {out.SlopeChange, [5]float64{4.653617570703937, 1.980484845343339, 11.6007400534002, 0.321982735338675, 8.9852524060692005}},
		"before to after": {out.Difference, [5]float64{-25.6089529199897, 4.99658426576245, 28.3269383099724, -35.8386725596098, -15.3792332803696}},
	} {
		got := [5]float64{float64(c.got.Difference), float64(c.got.SE), float64(c.got.DF), float64(c.got.Low), float64(c.got.High)}
		for i := range got {
			assert.InEpsilon(t, c.want[i], got[i], 1e-8, "%s, number %d", name, i)
		}
	}
}

// seatbeltParts makes one part a month of the car drivers killed in Great
// Britain, 1969 to 1984 (Harvey & Durbin 1986, J R Stat Soc A 149:187-227; R's
// Seatbelts[, "DriversKilled"]); the law came in force in February 1983.
func seatbeltParts(t *testing.T) ([]part, results.ProtocolChange) {
	killed := readTable(t, "seatbelts.csv")
	require.Len(t, killed, 192)
	var parts []part
	for i, l := range killed {
		m := casebook.NewMonth(1969, 1) + casebook.Month(i)
		parts = append(parts, part{cluster: i, quarter: quarterOf(m), month: m, num: num(t, l["drivers_killed"]), den: 1, n: 1})
	}
	return parts, results.ProtocolChange{Month: casebook.NewMonth(1983, 2), Description: "seat-belt law"}
}

// Of the square roots that make CR2 unbiased ours is taken on weighted rows
// (McCaffrey & Bell 2006, Stat Med 25:4081-4098), clubSandwich's elsewhere; the
// script gives both, 0.3 % apart here.
func TestLossRateAgainstR(t *testing.T) {
	features := referenceFeatures(t)
	s := results.DefaultSettings()
	s.MinIntervalCases = 2
	p := &rows.Set{Settings: s}
	r := lossRate(p, results.LossRate{}, features)
	for i, want := range []float64{-4.107635095608281, -5.254471337992194, -2.960798853224369} {
		got := []results.Number{r.Rate.Value, r.Rate.Low, r.Rate.High}[i]
		assert.InEpsilon(t, 100*math.Exp(want), float64(got), 1e-6)
	}
	assert.InEpsilon(t, 4.264701830768695, float64(r.Rate.DF), 1e-6)
	ratio := lossRatio(p, features)
	for i, want := range []float64{0.0900166305243959, -1.0986435632800780, 1.2786768243288698} {
		got := []results.Number{ratio.Ratio, ratio.Low, ratio.High}[i]
		assert.InEpsilon(t, math.Exp(want), float64(got), 1e-5)
	}
}

func referenceFeatures(t *testing.T) []wornFeature {
	var out []wornFeature
	for _, l := range readTable(t, "features.csv") {
		var class casebook.ToothClass
		require.NoError(t, class.UnmarshalText([]byte(l["class"])))
		st := casebook.SoftwareSuggested
		if l["clinician"] == "1" {
			st = casebook.ClinicianDesigned
		}
		out = append(out, wornFeature{
			cluster: int(num(t, l["case"])), style: st, class: class, lost: l["lost"] == "1", months: num(t, l["months"]), source: fromAligners,
		})
	}
	return out
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
		l := funnelLimits(&f, c.size, c.shrink)
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
		placeFunnel(f, 1)
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
	readFunnel(lone, 10)
	assert.Contains(t, lone.Reading, "1 beyond the 99.8")
	assert.NotContains(t, lone.Reading, "H", "no code in words")
}

// TestCasesRefinedIsWilson: cases refined are independent, so the
// criterion uses Wilson's limits; 81 of 263 is Newcombe's (1998, Stat Med
// 17:857-872) first example: 0.2553, 0.3662.
func TestCasesRefinedIsWilson(t *testing.T) {
	parts := make([]part, 263)
	for i := range parts {
		parts[i] = part{cluster: i, num: float64(measure.OneIf(i < 81)), den: 1, n: 1}
	}
	p := &rows.Set{Settings: results.DefaultSettings()}
	s, _, _ := observe(p, &results.Criterion{Measure: results.CasesRefined}, parts)
	assert.InDelta(t, 0.25528852, float64(s.Low), 1e-8)
	assert.InDelta(t, 0.36620958, float64(s.High), 1e-8)
	w := prop.Wilson(81, 263, 0.95)
	assert.Equal(t, results.Number(w.Low), s.Low)
}
