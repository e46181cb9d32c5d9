package between

import (
	"fmt"
	"strings"
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
			b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{ID: id, Wear: wear, WearRecorded: casebook.BeforeOutcome})
		}
	}
	p := b.Prepare(t, results.DefaultSettings())
	by := results.By{Axis: casebook.Rotation, Direction: casebook.MesialIn, Course: results.Initial}
	m := Matched(p, &results.Comparison{By: by}, FeaturedRows(p, by))
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

// TestSensitivitySaysWhatTheVerdictSays: the sentence follows the verdict and its
// reason, never a row of its own.
func TestSensitivitySaysWhatTheVerdictSays(t *testing.T) {
	p := &rows.Set{Settings: results.DefaultSettings()}
	read := func(c results.Comparison, rest ...results.SensitivityRow) results.Sensitivity {
		s := results.Sensitivity{By: results.By{Axis: casebook.Rotation}, Rows: append([]results.SensitivityRow{{Decides: true}}, rest...)}
		ReadSensitivity(&s, &c, p)
		return s
	}
	beyond := results.Difference{Difference: 0.2, Low: 0.1, High: 0.3}
	other := func(v results.Verdict) results.SensitivityRow {
		return results.SensitivityRow{Choice: "another choice", Verdict: v}
	}
	told := read(results.Comparison{Verdict: results.Higher, Reason: "holds-within-mouths", Adjusted: beyond}, other(results.Higher))
	assert.True(t, told.Stable)
	assert.Contains(t, told.Reading, "higher. Every check that decides keeps it.")
	otherwise := read(results.Comparison{Verdict: results.Higher, Reason: "holds-within-mouths", Adjusted: beyond}, other(results.NotDistinguishable))
	assert.False(t, otherwise.Stable)
	assert.Contains(t, otherwise.Reading, "another choice (not distinguishable)")
	one := read(results.Comparison{Verdict: results.NotDistinguishable, Reason: "one-patient-decides", Because: "One patient decides.", Adjusted: beyond},
		results.SensitivityRow{Choice: "without one", Verdict: results.NotDistinguishable, Decides: true})
	assert.False(t, one.Stable)
	assert.NotContains(t, one.Reading, "lower as reported")
	assert.Contains(t, one.Reading, "not distinguishable. One patient decides.")
	within := read(results.Comparison{Verdict: results.NotDistinguishable, Reason: "within-chance", Adjusted: results.Difference{Low: -0.1, High: 0.1}},
		results.SensitivityRow{Choice: "without one", Verdict: results.NotDistinguishable, Decides: true}, other(results.NotDistinguishable))
	assert.True(t, within.Stable, "a check has nothing to keep")
	lone := read(results.Comparison{Verdict: results.NotDistinguishable, Reason: "within-chance", Adjusted: beyond}, other(results.Higher))
	assert.True(t, lone.Stable)
	assert.Contains(t, lone.Reading, "By itself its interval leaves out zero, after correction it is within chance.")
	strict := read(results.Comparison{Verdict: results.NotDistinguishable, Reason: "within-chance", Adjusted: beyond, Warnings: []results.Warning{{ID: results.NotAtLevel}}}, other(results.Higher))
	assert.Contains(t, strict.Reading, "By itself its interval leaves out zero, but not at the stricter level set for its verdict.")
	assert.NotContains(t, strict.Reading, "correction")
	for _, s := range []results.Sensitivity{told, otherwise, one, within, lone, strict} {
		for _, r := range s.Rows[1:] {
			assert.Equal(t, r.Named, strings.Contains(s.Reading, r.Choice), "bold in the table is what the sentence names: %s", s.Reading)
		}
	}
	less := read(results.Comparison{Verdict: results.Higher}, other(results.NotComparable))
	assert.Contains(t, less.Reading, "Too little was left to compare under: another choice")
}
