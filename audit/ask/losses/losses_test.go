package losses

import (
	"math"
	"testing"

	"shortfall/audit/audittest"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/audit/stats/glm"
	"shortfall/ingest/casebook"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFeaturesAreCountedOncePerTooth(t *testing.T) {
	var b audittest.Build
	b.Dataset.Cases = []casebook.Case{{ID: "a", ChangeDays: casebook.Some(10)}}
	b.Dataset.Courses = []casebook.Course{{Case: casebook.CaseKey{ID: "a"}, Number: 1, AlignersUsed: casebook.Some(30)}, {Case: casebook.CaseKey{ID: "a"}, Number: 2}}
	lost := func(m *casebook.Movement, yes bool, month int) {
		m.Lost = casebook.Some(yes)
		if month >= 0 {
			m.LostMonth = casebook.Some(month)
		}
	}
	lost(b.Add("a", 1, 11, casebook.Rotation, 10, 8, audittest.Soft), true, 2)
	lost(b.Add("a", 1, 11, casebook.Tip, 5, 4, audittest.Soft), true, 2) // the same feature
	lost(b.Add("a", 1, 12, casebook.Tip, 5, 4, audittest.Clin), false, -1)
	lost(b.Add("a", 1, 13, casebook.Tip, 5, 4, audittest.Clin), true, -1) // month not recorded
	lost(b.Add("a", 1, 14, casebook.Tip, 5, 4, casebook.StyleNone), false, -1)
	b.Add("a", 1, 15, casebook.Tip, 5, 4, audittest.Soft)                // loss not recorded
	lost(b.Add("a", 2, 12, casebook.Tip, 5, 4, audittest.Clin), true, 1) // months worn not known
	features, excluded := wornFeatures(b.Prepare(t, results.DefaultSettings()))
	require.Len(t, features, 3)
	assert.Equal(t, 2.0, features[0].months)
	assert.InDelta(t, 300/rows.DaysPerMonth, features[1].months, 1e-12)
	assert.InDelta(t, 150/rows.DaysPerMonth, features[2].months, 1e-12)
	assert.True(t, features[2].noMonth)
	require.Len(t, excluded, 2)
	assert.Equal(t, [2]int{1, 1}, [2]int{excluded[0].Movements, excluded[1].Movements})
}

// TestNoneLost: Garwood's exact upper limit for none seen is 3.68888 events
// (1936, Biometrika 28:437-442).
func TestNoneLost(t *testing.T) {
	features := make([]wornFeature, 20)
	for i := range features {
		features[i] = wornFeature{cluster: i, months: 5}
	}
	p := &rows.Set{Settings: results.DefaultSettings()}
	r := lossRate(p, results.LossRate{}, features)
	assert.Zero(t, float64(r.Rate.Low))
	assert.InDelta(t, 3.68888, float64(r.Rate.High), 1e-5, "in 100 feature-months")
	assert.Equal(t, "none-lost", r.Warnings[len(r.Warnings)-1].ID)
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
	for _, l := range audittest.ReadTable(t, "features.csv") {
		var class casebook.ToothClass
		require.NoError(t, class.UnmarshalText([]byte(l["class"])))
		st := casebook.SoftwareSuggested
		if l["clinician"] == "1" {
			st = casebook.ClinicianDesigned
		}
		out = append(out, wornFeature{
			cluster: int(audittest.Num(t, l["case"])), style: st, class: class, lost: l["lost"] == "1", months: audittest.Num(t, l["months"]), source: rows.FromAligners,
		})
	}
	return out
}

// TestFeaturesAlikeAreOneRow: the rate ratio within tooth classes, with a row for every
// feature and with one for those of a case that are alike, within 1e-9.
func TestFeaturesAlikeAreOneRow(t *testing.T) {
	var features []wornFeature
	for i := range 400 {
		features = append(features, wornFeature{
			cluster: i / 16, style: []casebook.Style{casebook.SoftwareSuggested, casebook.ClinicianDesigned}[i*i%7%2],
			class: casebook.ToothClasses()[i%3], lost: (i*i+i/16)%11 < 2, months: float64(1+i%9) / 2,
		})
	}
	kind := func(f *wornFeature) int { return 10*int(f.class) + int(f.style) }
	columns := func(f *wornFeature) []float64 {
		return []float64{1, float64(f.style), float64(measure.OneIf(f.class == casebook.ToothClasses()[1]))}
	}
	names := []string{"rate", "style", "class"}
	each := 0
	single := lossModel(features, names, func(*wornFeature) int { each++; return each }, columns)
	joined := lossModel(features, names, kind, columns)
	require.Greater(t, len(single.Y), len(joined.Y)+200)
	for _, c := range [][]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}} {
		var e [2]stats.Estimate
		for i, m := range []glm.CountModel{single, joined} {
			fit, err := glm.FitCount(m, glm.Poisson, stats.CR2)
			require.NoError(t, err)
			e[i] = fit.Contrast(c, 0.95)
		}
		assert.Positive(t, e[0].SE)
		assert.InDeltaSlice(t, []float64{e[0].Value, e[0].SE, e[0].DF, e[0].Low, e[0].High}, []float64{e[1].Value, e[1].SE, e[1].DF, e[1].Low, e[1].High}, 1e-9)
		assert.Equal(t, e[0].Warnings, e[1].Warnings)
	}
}
