package audit

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/between"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
	"shortfall/ingest/casebook"
)

// TestMatchedStrataAgainstR: testdata/questions.R, R 4.2.2 and clubSandwich
// 0.5.8 on testdata/strata.csv.
func TestMatchedStrataAgainstR(t *testing.T) {
	var b build
	logged := map[string]bool{}
	for _, l := range readTable(t, "strata.csv") {
		id := fmt.Sprintf("%03s", l["case"])
		st := soft
		if l["clinician"] == "1" {
			st = clin
		}
		b.add(id, 1, casebook.Tooth(num(t, l["tooth"])), casebook.Rotation, num(t, l["planned"]), num(t, l["achieved"]), st)
		if !logged[id] {
			logged[id] = true
			var wear casebook.Wear
			if l["wear"] != "" {
				require.NoError(t, wear.UnmarshalText([]byte(l["wear"])))
			}
			b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{ID: id, Wear: wear})
		}
	}
	p := b.prepare(t, results.DefaultSettings())
	by := results.By{Axis: casebook.Rotation, Direction: casebook.MesialIn, Course: results.Initial}
	m := between.Matched(p, &results.Comparison{By: by}, between.FeaturedLists(p).Rows(p, by))
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
	m := between.MatchedModel{P: &rows.Set{Settings: results.DefaultSettings()}, Strata: 3}
	for i := range 60 {
		st := soft
		if i%2 == 1 {
			st = clin
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
	var b build
	b.add("a", 1, 11, casebook.Rotation, 10, 6, soft)
	b.add("a", 1, 12, casebook.Rotation, 10, nan(), soft)
	b.add("b", 1, 11, casebook.Rotation, -8, nan(), clin)
	b.add("b", 1, 12, casebook.Rotation, 10, 6, clin)
	p := b.prepare(t, results.DefaultSettings())
	got := func(favoured casebook.Style) (out []float64) {
		q := between.Imputed(p, favoured)
		for i := range q.Analysed {
			out = append(out, q.Analysed[i].Achieved)
		}
		return out
	}
	assert.Equal(t, []float64{6, 10, 0, 6}, got(soft))
	assert.Equal(t, []float64{6, 0, 8, 6}, got(clin))
	assert.Len(t, p.Analysed, 2, "the analysis itself is not touched")
}

func TestSensitivitySaysWhatChanges(t *testing.T) {
	p := &rows.Set{Settings: results.DefaultSettings()}
	read := func(vs ...results.Verdict) results.Sensitivity {
		s := results.Sensitivity{By: results.By{Axis: casebook.Rotation}}
		for i, v := range vs {
			s.Rows = append(s.Rows, results.SensitivityRow{Choice: fmt.Sprint("choice ", i), Verdict: v})
		}
		between.ReadSensitivity(&s, p)
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

func TestTargetOnTheLimit(t *testing.T) {
	limit := 0.3
	assert.Equal(t, results.NotEnoughData, answerTo((&results.Criterion{AtMost: &limit}), results.Spread{Low: 0.3, High: 0.4}), "0.3 itself would meet the target")
	assert.Equal(t, results.NotEnoughData, answerTo((&results.Criterion{AtLeast: &limit}), results.Spread{Low: 0.2, High: 0.3}))
}

func TestChangeMonthBelongsToAfter(t *testing.T) {
	month := casebook.NewMonth(2025, 4)
	var parts []part
	for i := range 60 {
		m := month - 1 + casebook.Month(i%2)
		if i >= 50 {
			m = 0 // no month: on neither side
		}
		parts = append(parts, part{cluster: i, month: m, quarter: quarterOf(m), num: float64(i % 3 % 2), den: 1, n: 1})
	}
	p := &rows.Set{Settings: results.DefaultSettings()}
	r := changeResult(p, &results.Criterion{Name: "x", Measure: results.OutsideTolerance}, &results.ProtocolChange{Month: month}, parts)
	assert.Equal(t, [2]int{25, 25}, [2]int{r.Before.Cases, r.After.Cases})
}

func TestQuarters(t *testing.T) {
	for month, want := range map[int]string{1: "2025 Q1", 3: "2025 Q1", 4: "2025 Q2", 6: "2025 Q2", 12: "2025 Q4"} {
		assert.Equal(t, want, quarterName(quarterOf(casebook.NewMonth(2025, month))))
	}
	assert.Equal(t, noQuarter, quarterOf(0))
}

func TestOnlyCompletedCasesCountAsRefinedOrNot(t *testing.T) {
	var b build
	for i, st := range casebook.Statuses() {
		id := fmt.Sprint(i)
		b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{ID: id, Status: st, Start: casebook.NewMonth(2025, 1)})
		b.Dataset.Courses = append(b.Dataset.Courses, casebook.Course{Case: casebook.CaseKey{ID: id}, Number: 1}, casebook.Course{Case: casebook.CaseKey{ID: id}, Number: 2})
	}
	parts, _ := measureParts(b.prepare(t, results.DefaultSettings()), &results.Criterion{Measure: results.CasesRefined})
	require.Len(t, parts, 1)
	assert.Equal(t, 1.0, parts[0].num)
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

func TestFunnelStandsAtEffectiveSize(t *testing.T) {
	f := results.Funnel{Target: 0.5, Points: []results.FunnelPoint{{Total: 100, Value: 0.5}, {Total: 50, Value: 0.5}}}
	placeFunnel(&f, 2.5)
	assert.Equal(t, []results.Number{40, 20}, []results.Number{f.Points[0].Effective, f.Points[1].Effective})
}

func TestWaitForUndecided(t *testing.T) {
	var b build
	for i := range 24 { // two cases a month for a year
		b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{ID: fmt.Sprintf("%02d", i), Start: casebook.NewMonth(2025, 1) + casebook.Month(i/2)})
		b.add(fmt.Sprintf("%02d", i), 1, 11, casebook.Rotation, 10, 5, soft)
	}
	b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{ID: "old", Start: casebook.NewMonth(2023, 1)})
	b.add("old", 1, 11, casebook.Rotation, 10, 5, soft)
	p := b.prepare(t, results.DefaultSettings())
	rate, quarters := caseRate(p)
	assert.Equal(t, results.Number(6), rate, "the last twelve months only")
	assert.Equal(t, 4, quarters)
	arms := []results.Arm{{Cases: 24}, {Cases: 12}}
	res := &results.Results{Comparisons: []results.Comparison{
		{Verdict: results.Higher, Detectable: 0.1, Arms: arms},
		{Verdict: results.NotDistinguishable, Detectable: 0.1, MoreCases: 10, Arms: arms},
		{Verdict: results.NotDistinguishable, Detectable: 0.1, MoreCases: results.NotEstimable, Arms: arms},
	}}
	var out results.Outlook
	undecided(p, &out, res)
	require.Len(t, out.Undecided, 2)
	assert.Equal(t, results.Number(1), out.Undecided[0].CasesPerQuarter, "12 cases of the slower style in 36 months")
	assert.Equal(t, results.Number(10), out.Undecided[0].Quarters)
	assert.Contains(t, out.Undecided[0].Sentence, "10 quarters")
	assert.False(t, out.Undecided[1].Quarters.OK())
	assert.Contains(t, out.Undecided[1].Sentence, "too small")
}

func TestPrecisionInCases(t *testing.T) {
	by := results.By{Axis: casebook.Rotation, Direction: casebook.MesialIn, Course: results.Initial}
	res := &results.Results{Expression: []results.Cell{{By: by, Cases: 50, Estimate: 0.5, SE: 0.05, Low: 0.4, High: 0.6}}}
	var out results.Outlook
	precision((&rows.Set{Settings: results.DefaultSettings()}), &out, res)
	require.Len(t, out.Precision, 1)
	assert.InDelta(t, 0.1, float64(out.Precision[0].HalfWidth), 1e-12)
	assert.InDelta(t, 200, float64(out.Precision[0].CasesForFive), 1, "half the width takes four times the cases")
}

func TestOnlyChangedVerdictsAreListed(t *testing.T) {
	at := func(v results.Verdict, c results.Verdict) *results.Results {
		return &results.Results{Comparisons: []results.Comparison{
			{By: results.By{Direction: casebook.Extrusion}, Verdict: v}, {By: results.By{Direction: casebook.Intrusion}, Verdict: c},
		}}
	}
	s := Compare(at(results.Higher, results.Lower), at(results.NotDistinguishable, results.Lower))
	require.Len(t, s.Verdicts, 1)
	assert.Equal(t, results.VerdictChange{By: results.By{Direction: casebook.Extrusion}, Before: results.Higher, After: results.NotDistinguishable}, s.Verdicts[0])
}

func TestNoSwitchNoFinding(t *testing.T) {
	p := &rows.Set{Settings: results.DefaultSettings()}
	s := &results.SwitchAnalysis{Followed: 50, Contrasts: []results.GroupComparison{{Verdict: results.NotDistinguishable}, {Verdict: results.NotComparable}}}
	_, ok := switchFinding(p, s)
	assert.False(t, ok, "page one is for what was found")
	s.Contrasts[0].Verdict = results.Higher
	f, ok := switchFinding(p, s)
	assert.True(t, ok)
	assert.Contains(t, f.Limits, "do better next time whatever is done")
}

func TestOnlyTheLowestTenthIsAskedAbout(t *testing.T) {
	ask := func(rank results.Number) string {
		return caseQuestions(&results.CaseSheet{Planned: 1, Measured: 1, Movements: []results.SheetMovement{{Band: results.Band{Cases: 20, Rank: rank}}}})[0]
	}
	assert.Contains(t, ask(0.05), "lowest tenth")
	assert.Contains(t, ask(0.5), "Nothing in this case stands out")
}

func nan() float64 { return float64(results.NotEstimable) }
