package between

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/audittest"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
	"shortfall/ingest/casebook"
)

// TestMatchedStrataAgainstR: testdata/questions.R, R 4.2.2 and clubSandwich
// 0.5.8 on testdata/strata.csv.
func TestMatchedStrataAgainstR(t *testing.T) {
	var b audittest.Build
	logged := map[string]bool{}
	for _, l := range audittest.ReadTable(t, "strata.csv") {
		id := fmt.Sprintf("%03s", l["case"])
		st := audittest.Soft
		if l["clinician"] == "1" {
			st = audittest.Clin
		}
		b.Add(id, 1, casebook.Tooth(audittest.Num(t, l["tooth"])), casebook.Rotation, audittest.Num(t, l["planned"]), audittest.Num(t, l["achieved"]), st)
		if !logged[id] {
			logged[id] = true
			var wear casebook.Wear
			if l["wear"] != "" {
				require.NoError(t, wear.UnmarshalText([]byte(l["wear"])))
			}
			b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{ID: id, Wear: wear})
		}
	}
	p := b.Prepare(t, results.DefaultSettings())
	by := results.By{Axis: casebook.Rotation, Direction: casebook.MesialIn, Course: results.Initial}
	m := Matched(p, &results.Comparison{By: by}, FeaturedLists(p).Rows(p, by))
	assert.Equal(t, [4]int{42, 16, 106, 49}, [4]int{m.Strata, m.Both, m.Inside, m.Cases})
	assert.Equal(t, 140, m.Inside+m.Outside)
	want := []float64{-0.112246859454604, 0.043508978853929, 18.719062818817, -0.203404790317838, -0.0210889285913702}
	d := m.Matched
	for i, got := range []results.Number{d.Difference, d.SE, d.DF, d.Low, d.High} {
		assert.InEpsilon(t, want[i], float64(got), 1e-8, "number %d", i)
	}
	assert.Equal(t, results.Lower, m.Verdict)
}

// TestStrataTakenOutByMeans: with many strata or cases the same estimate comes
// from weighted means within strata.
func TestStrataTakenOutByMeans(t *testing.T) {
	m := MatchedModel{P: &rows.Set{Settings: results.DefaultSettings()}, Strata: 3}
	for i := range 60 {
		st := audittest.Soft
		if i%2 == 1 {
			st = audittest.Clin
		}
		m.Add(&rows.Row{Planned: 5 + float64(i%7), Achieved: 3 + float64(i*i%11) + float64(i%3), Style: st, Cluster: i / 2}, i%3)
	}
	indicators, err := m.Fit()
	require.NoError(t, err)
	within := stats.LinearModel{Names: []string{"style"}, X: m.Within(m.Treated), Y: m.Within(m.Y), Weights: m.Weights, Cluster: m.Cluster}
	fit, err := robust.FitLinear(within, stats.CR2)
	require.NoError(t, err)
	e := fit.Contrast([]float64{1}, 0.95)
	assert.InDelta(t, indicators.Value, e.Value, 1e-12)
	assert.InEpsilon(t, indicators.SE, e.SE, 0.1)
}

// TestMissingOutcomesFavourOneStyle in one bound and the other in the other.
func TestMissingOutcomesFavourOneStyle(t *testing.T) {
	var b audittest.Build
	b.Add("a", 1, 11, casebook.Rotation, 10, 6, audittest.Soft)
	b.Add("a", 1, 12, casebook.Rotation, 10, audittest.NaN(), audittest.Soft)
	b.Add("b", 1, 11, casebook.Rotation, -8, audittest.NaN(), audittest.Clin)
	b.Add("b", 1, 12, casebook.Rotation, 10, 6, audittest.Clin)
	p := b.Prepare(t, results.DefaultSettings())
	got := func(favoured casebook.Style) (out []float64) {
		q := Imputed(p, favoured)
		for i := range q.Analysed {
			out = append(out, q.Analysed[i].Achieved)
		}
		return out
	}
	assert.Equal(t, []float64{6, 10, 0, 6}, got(audittest.Soft))
	assert.Equal(t, []float64{6, 0, 8, 6}, got(audittest.Clin))
	assert.Len(t, p.Analysed, 2, "the analysis itself is not touched")
}

func TestSensitivitySaysWhatChanges(t *testing.T) {
	p := &rows.Set{Settings: results.DefaultSettings()}
	read := func(vs ...results.Verdict) results.Sensitivity {
		s := results.Sensitivity{By: results.By{Axis: casebook.Rotation}}
		for i, v := range vs {
			s.Rows = append(s.Rows, results.SensitivityRow{Choice: fmt.Sprint("choice ", i), Verdict: v})
		}
		ReadSensitivity(&s, p)
		return s
	}
	same := read(results.Higher, results.Higher, results.Higher)
	assert.True(t, same.Stable)
	assert.Contains(t, same.Reading, "higher under every choice tried")
	other := read(results.Higher, results.Higher, results.NotDistinguishable)
	assert.False(t, other.Stable)
	assert.Contains(t, other.Reading, "choice 2 (not distinguishable)")
	less := read(results.Higher, results.NotComparable)
	assert.True(t, less.Stable)
	assert.Contains(t, less.Reading, "Too little was left to compare: choice 1")
}
