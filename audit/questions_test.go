package audit

import (
	"context"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/declare"
	"shortfall/audit/disclose"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// build makes a small dataset by hand.
type build struct{ Dataset casebook.Dataset }

func (b *build) add(id string, course int, tooth casebook.Tooth, axis casebook.Axis, planned, achieved float64, st casebook.Style) *casebook.Movement {
	m := casebook.Movement{Case: casebook.CaseKey{ID: id}, Course: course, Tooth: tooth, Axis: axis, Planned: planned, Style: st}
	if !math.IsNaN(achieved) {
		m.Achieved = casebook.Some(achieved)
	}
	b.Dataset.Movements = append(b.Dataset.Movements, m)
	return &b.Dataset.Movements[len(b.Dataset.Movements)-1]
}

func (b *build) prepare(t *testing.T, s results.Settings) *rows.Set {
	t.Helper()
	p, err := rows.Prepare(&b.Dataset, s)
	require.NoError(t, err)
	return p
}

const (
	soft = casebook.SoftwareSuggested
	clin = casebook.ClinicianDesigned
)

func TestPairingNamesEveryReason(t *testing.T) {
	var b build
	// pairs: 10° planned, 4° short, planned again
	b.add("a", 1, 11, casebook.Rotation, 10, 6, soft)
	b.add("a", 2, 11, casebook.Rotation, 4, 3, clin)
	b.add("a", 1, 12, casebook.Rotation, -10, -6, soft) // the other way round: also a pair
	b.add("a", 2, 12, casebook.Rotation, -4, -3, soft)
	b.add("a", 1, 13, casebook.Rotation, 10, 8, soft) // within tolerance: exactly 2°
	b.add("a", 2, 13, casebook.Rotation, 2, 2, soft)
	b.add("a", 1, 14, casebook.Rotation, 10, 14, soft) // overshoot: fell not short
	b.add("a", 2, 14, casebook.Rotation, -4, -4, soft)
	b.add("b", 1, 11, casebook.Rotation, 10, 6, soft) // not planned again
	b.add("b", 1, 12, casebook.Rotation, 10, 6, soft) // other direction
	b.add("b", 2, 12, casebook.Rotation, -4, -4, soft)
	b.add("b", 1, 13, casebook.Rotation, 10, 6, soft) // next below the smallest plan
	b.add("b", 2, 13, casebook.Rotation, 1, 1, soft)
	b.add("b", 1, 14, casebook.Rotation, 10, 6, soft) // next not measured
	b.add("b", 2, 14, casebook.Rotation, 4, math.NaN(), soft)
	b.add("b", 1, 15, casebook.Rotation, 10, 6, casebook.NoStyle) // style not recorded
	b.add("b", 2, 15, casebook.Rotation, 4, 3, soft)
	b.add("b", 1, 16, casebook.Rotation, 10, 6, soft) // planned again, but two courses later
	b.add("b", 3, 16, casebook.Rotation, 4, 3, soft)
	p := b.prepare(t, results.DefaultSettings())
	got := pairCourses(p)
	require.Len(t, got.pairs, 2)
	assert.Equal(t, 8, got.fellShort)
	assert.False(t, got.pairs[0].kept())
	assert.True(t, got.pairs[1].kept())
	left := map[string]int{}
	total := len(got.pairs)
	for _, e := range got.left {
		left[e.ID] = e.Movements
		total += e.Movements
	}
	assert.Equal(t, map[string]int{"not-planned-again": 2, "other-direction": 2, "next-not-measured": 1, "style-missing": 1}, left)
	assert.Equal(t, got.fellShort, total, "every shortfall is paired or has a reason")
}

func TestCompoundLoad(t *testing.T) {
	var b build
	b.add("a", 1, 13, casebook.Rotation, 20, 10, soft)
	b.add("a", 1, 13, casebook.Vertical, 1.5, 1.25, soft)
	b.add("a", 1, 13, casebook.Tip, 4, math.NaN(), soft)
	b.add("a", 1, 14, casebook.Rotation, 20, 20, soft) // one large movement only
	b.add("a", 1, 14, casebook.Tip, 9, 9, soft)
	loads := compoundLoads(b.prepare(t, results.DefaultSettings()))
	require.Len(t, loads, 1)
	l := loads[0]
	assert.Equal(t, casebook.Tooth(13), l.Tooth)
	assert.Equal(t, 2, l.Large)
	assert.InDelta(t, 20.0/2+1.5/0.5+4.0/2, float64(l.Load), 1e-12)
	assert.InDelta(t, 10.0/2+0.25/0.5, float64(l.Residual), 1e-12)
	assert.Equal(t, [2]int{1, 1}, [2]int{l.Outside, l.Unmeasured})
}

func TestFeatureTable(t *testing.T) {
	rules, source, err := declare.ParseFitTable("fit.toml", []byte(declare.FitTableExample))
	require.NoError(t, err)
	assert.ElementsMatch(t, results.DefaultFitTable(), rules, "the example is the default")
	assert.Equal(t, "common practice, no source", source)
	own := append(rules, results.FitRule{Direction: casebook.Intrusion, Orientation: casebook.ObliqueFace})
	r := func(d casebook.Direction, o casebook.Orientation) *rows.Row {
		return &rows.Row{Movement: &casebook.Movement{Orientation: o}, Axis: d.Axis(), Direction: d}
	}
	assert.False(t, goesAgainst(r(casebook.Extrusion, casebook.HorizontalFace), own))
	assert.True(t, goesAgainst(r(casebook.Extrusion, casebook.VerticalFace), own))
	assert.True(t, goesAgainst(r(casebook.Intrusion, casebook.HorizontalFace), own), "the direction's rule goes before its axis's")
	assert.False(t, goesAgainst(r(casebook.TorqueBuccal, casebook.VerticalFace), own), "no rule, no judgement")
	assert.False(t, goesAgainst(r(casebook.Extrusion, casebook.NoOrientation), own), "not recorded is not against")
	for text, want := range map[string]string{
		"version = 1\n[[rule]]\naxis = \"rotation\"\norientaton = \"vertical\"": `fit.toml, line 4: unknown key "rule.orientaton"`,
		"version = 1\n[[rule]]\norientation = \"vertical\"":                     "exactly one of axis and direction",
		"version = 1\n[[rule]]\naxis = \"rotation\"":                            "needs an orientation",
		"version = 2": "this program reads version = 1",
		"version = 1": "no rule",
		"version = 1\n[[rule]]\naxis = \"rotatio\"\norientation = \"vertical\"": "line 3",
	} {
		_, _, err := declare.ParseFitTable("fit.toml", []byte(text))
		assert.ErrorContains(t, err, want, text)
	}
}

func TestCriteriaFile(t *testing.T) {
	c, err := declare.ParseCriteria("criteria.toml", []byte(declare.CriteriaExample))
	require.NoError(t, err)
	require.Len(t, c.Criteria, 1)
	assert.Equal(t, results.By{Axis: casebook.Vertical, Direction: casebook.Extrusion, ToothClass: casebook.Incisor, Arch: casebook.Upper, Course: results.Initial}, c.Criteria[0].By())
	for change, want := range map[[2]string]string{
		{"at_most = 0.30", "at_least = 0.2\nat_most = 0.30"}:                             "exactly one of at_most and at_least",
		{"at_most = 0.30", "at_most = 30"}:                                               "a share is between 0 and 1",
		{"measure = ", "measur = "}:                                                      `unknown key "criterion.measur"`,
		{`"outside tolerance"`, `"outside"`}:                                             "expected one of",
		{`direction = "extrusion"`, `direction = "up"`}:                                  "criteria.toml, line 7",
		{`"2025 Q1"`, `"2025-Q1"`}:                                                       "expected quarters such as",
		{`month = "2026-01"`, `month = "January"`}:                                       "expected YYYY-MM",
		{`criteria = ["Extrusion of`, `criteria = ["Intrusion of`}:                       "no criterion is named",
		{`course = "initial"`, `course = "first"`}:                                       "expected initial or refinement",
		{`direction = "extrusion"`, `axis = "rotation"` + "\ndirection = \"extrusion\""}: "not a direction of the axis",
		{`measure = "outside tolerance"`, `measure = "cases refined"`}:                   "counted over whole cases",
	} {
		text := strings.Replace(declare.CriteriaExample, change[0], change[1], 1)
		require.NotEqual(t, declare.CriteriaExample, text, change[0])
		_, err := declare.ParseCriteria("criteria.toml", []byte(text))
		assert.ErrorContains(t, err, want, change[1])
	}
}

func TestAnswersNeedTheWholeInterval(t *testing.T) {
	limit := 0.3
	most, least := &results.Criterion{AtMost: &limit}, &results.Criterion{AtLeast: &limit}
	for _, c := range []struct {
		low, high   results.Number
		most, least results.Answer
	}{
		{0.1, 0.3, results.Met, results.NotEnoughData},
		{0.1, 0.29, results.Met, results.NotMet},
		{0.2, 0.4, results.NotEnoughData, results.NotEnoughData},
		{0.31, 0.4, results.NotMet, results.Met},
		{results.NotEstimable, results.NotEstimable, results.NotEnoughData, results.NotEnoughData},
	} {
		x := results.Spread{Low: c.low, High: c.high}
		assert.Equal(t, c.most, answerTo(most, x), "at most, %v to %v", c.low, c.high)
		assert.Equal(t, c.least, answerTo(least, x), "at least, %v to %v", c.low, c.high)
	}
}

func TestWornMonths(t *testing.T) {
	c := rows.Patient{
		Log: &casebook.Case{ChangeDays: casebook.Some(14), End: casebook.NewMonth(2025, 12)},
		Courses: []casebook.Course{
			{Number: 1, Start: casebook.NewMonth(2024, 1), AlignersUsed: casebook.Some(20)},
			{Number: 2, Start: casebook.NewMonth(2024, 12)},
			{Number: 3, Start: casebook.NewMonth(2025, 5)},
			{Number: 4},
		},
	}
	assert.Equal(t, worn{280 / daysPerMonth, fromAligners}, wornMonths(&c, 1))
	assert.Equal(t, worn{5, fromNextCourse}, wornMonths(&c, 2))
	assert.Equal(t, worn{}, wornMonths(&c, 3), "the next course has no month, so this one has no end")
	assert.Equal(t, worn{}, wornMonths(&c, 4))
	assert.Equal(t, worn{}, wornMonths(&c, 5))
	c.Courses = c.Courses[:3]
	assert.Equal(t, worn{7, fromCaseEnd}, wornMonths(&c, 3))
}

func TestFeaturesAreCountedOncePerTooth(t *testing.T) {
	var b build
	b.Dataset.Cases = []casebook.Case{{ID: "a", ChangeDays: casebook.Some(10)}}
	b.Dataset.Courses = []casebook.Course{{Case: casebook.CaseKey{ID: "a"}, Number: 1, AlignersUsed: casebook.Some(30)}, {Case: casebook.CaseKey{ID: "a"}, Number: 2}}
	lost := func(m *casebook.Movement, yes bool, month int) {
		m.Lost = casebook.Some(yes)
		if month >= 0 {
			m.LostMonth = casebook.Some(month)
		}
	}
	lost(b.add("a", 1, 11, casebook.Rotation, 10, 8, soft), true, 2)
	lost(b.add("a", 1, 11, casebook.Tip, 5, 4, soft), true, 2) // the same feature
	lost(b.add("a", 1, 12, casebook.Tip, 5, 4, clin), false, -1)
	lost(b.add("a", 1, 13, casebook.Tip, 5, 4, clin), true, -1) // month not recorded
	lost(b.add("a", 1, 14, casebook.Tip, 5, 4, casebook.StyleNone), false, -1)
	b.add("a", 1, 15, casebook.Tip, 5, 4, soft)                // loss not recorded
	lost(b.add("a", 2, 12, casebook.Tip, 5, 4, clin), true, 1) // months worn not known
	features, excluded := wornFeatures(b.prepare(t, results.DefaultSettings()))
	require.Len(t, features, 3)
	assert.Equal(t, 2.0, features[0].months)
	assert.InDelta(t, 300/daysPerMonth, features[1].months, 1e-12)
	assert.InDelta(t, 150/daysPerMonth, features[2].months, 1e-12)
	assert.True(t, features[2].noMonth)
	require.Len(t, excluded, 2)
	assert.Equal(t, [2]int{1, 1}, [2]int{excluded[0].Movements, excluded[1].Movements})
}

func TestFunnelNeedsUnits(t *testing.T) {
	ds, _ := sampledata.Generate(sampledata.Default(), 3)
	s := results.DefaultSettings()
	p, err := rows.Prepare(ds, s)
	require.NoError(t, err)
	funnels := allFunnels(p)
	require.Len(t, funnels, 4)
	assert.True(t, funnels[0].Shown)
	assert.Len(t, funnels[0].Points, 4)
	for i := 1; i < 4; i++ {
		assert.Less(t, funnels[0].Points[i-1].Code, funnels[0].Points[i].Code, "by code, never by value")
	}
	assert.False(t, funnels[2].Shown, "one practice is no funnel")
	assert.Contains(t, funnels[2].Reason, "3 practices")
	p.Settings.Questions.FunnelMinCases = 1000
	f := allFunnels(p)[0]
	assert.False(t, f.Shown)
	assert.Equal(t, 4, f.LeftOut)
	assert.Empty(t, f.Points)
}

func TestMethodErrorGreys(t *testing.T) {
	r := &results.Results{
		Repeats: []results.MethodError{{Unit: casebook.Degree, SmallestDetectable: 3}},
		Expression: []results.Cell{
			{Unit: casebook.Degree, Movements: 10, PlannedTotal: 100, MeanDifference: results.Spread{Value: -2.9}},
			{Unit: casebook.Degree, Movements: 10, PlannedTotal: 100, MeanDifference: results.Spread{Value: -3.1}},
			{Unit: casebook.Degree, Movements: 10, PlannedTotal: 29, MeanDifference: results.Spread{Value: -1}},
			{Unit: casebook.Millimetre, Movements: 10, PlannedTotal: 10, MeanDifference: results.Spread{Value: -0.01}},
		},
		Comparisons: []results.Comparison{
			{Unit: casebook.Degree, Arms: []results.Arm{{Movements: 5, MeanPlanned: 10}, {Movements: 5, MeanPlanned: 20}}, Adjusted: results.Difference{Difference: 0.19}},
			{Unit: casebook.Degree, Arms: []results.Arm{{Movements: 5, MeanPlanned: 10}, {Movements: 5, MeanPlanned: 20}}, Adjusted: results.Difference{Difference: 0.21}},
		},
	}
	greyBelowError(r)
	assert.Equal(t, []bool{true, false, true, false}, []bool{r.Expression[0].BelowDetectable, r.Expression[1].BelowDetectable, r.Expression[2].BelowDetectable, r.Expression[3].BelowDetectable})
	assert.Empty(t, r.Expression[0].Warnings)
	require.Len(t, r.Expression[2].Warnings, 1)
	assert.Equal(t, "plan-near-error", r.Expression[2].Warnings[0].ID)
	assert.True(t, r.Comparisons[0].BelowDetectable)
	assert.False(t, r.Comparisons[1].BelowDetectable)
}

// TestSharedResultsHideSmallGroups looks at every count of the questions.
func TestSharedResultsHideSmallGroups(t *testing.T) {
	params := sampledata.Default()
	params.Cases = 60
	ds, _ := sampledata.Generate(params, 4)
	s := results.DefaultSettings()
	s.Shared = true
	r, err := Run(context.Background(), ds, s, "test")
	require.NoError(t, err)
	q := r.Questions
	hidden := 0
	for _, x := range q.Switches.Paths {
		assert.True(t, x.Suppressed && x.Cases == 0 && x.Movements == 0 || x.Cases >= s.MinCellCases, "%v", x)
		hidden += measure.OneIf(x.Suppressed)
	}
	assert.NotEqual(t, 1, hidden, "one path alone could be had from the total")
	assert.Positive(t, hidden)
	for _, list := range [][]results.GroupComparison{q.Switches.Contrasts, q.Staging.Comparisons, q.Fit.Comparisons} {
		for _, c := range list {
			assert.True(t, c.Suppressed && c.Group.Cases == 0 || min(c.Group.Cases, c.Reference.Cases) >= s.MinCellCases, c.Reading)
			if c.Suppressed {
				assert.Empty(t, c.Reading)
			}
		}
	}
	assert.Empty(t, q.Staging.Loads, "no case is listed")
	for _, x := range q.LossRates.Rates {
		assert.True(t, x.Suppressed && x.Features == 0 || x.Cases >= s.MinCellCases)
	}
	for _, f := range q.Funnels {
		for _, pt := range f.Points {
			assert.GreaterOrEqual(t, pt.Cases, s.MinCellCases)
		}
	}
	for _, x := range q.CaseMix.Sensitivity {
		for _, row := range x.Rows {
			assert.NotEqual(t, "without-clinician", row.ID)
			assert.Zero(t, row.Cases)
		}
	}
}

func TestQuestionsSurviveJSON(t *testing.T) {
	params := sampledata.Default()
	params.Cases = 40
	ds, _ := sampledata.Generate(params, 6)
	s := results.DefaultSettings()
	c, err := declare.ParseCriteria("criteria.toml", []byte(declare.CriteriaExample))
	require.NoError(t, err)
	s.Questions.Criteria = c
	r, err := Run(context.Background(), ds, s, "test")
	require.NoError(t, err)
	first, err := json.Marshal(r)
	require.NoError(t, err)
	back, err := ParsePrevious("results.json", first)
	require.NoError(t, err)
	second, err := json.Marshal(back)
	require.NoError(t, err)
	assert.JSONEq(t, string(first), string(second))
}

func TestNothingToAsk(t *testing.T) {
	r, err := Run(context.Background(), &casebook.Dataset{}, results.DefaultSettings(), "test")
	require.NoError(t, err)
	assert.Empty(t, r.Questions.Switches.Paths)
	assert.Empty(t, r.Questions.Outlook.Expected)
	for _, f := range r.Questions.Funnels {
		assert.False(t, f.Shown)
		assert.NotEmpty(t, f.Reason)
	}
}

// TestNeverOneAloneWithheld: with one part below the minimum the smallest of
// the others goes with it, else the total gives it away.
func TestNeverOneAloneWithheld(t *testing.T) {
	parts := []int{12, 3, 9, 20}
	of := func(v []int) (out []int) {
		for _, x := range disclose.WithheldOf(disclose.Pick(v, func(*int) bool { return true }), 5, func(x *int) int { return *x }) {
			out = append(out, *x)
		}
		return out
	}
	assert.Equal(t, []int{3, 9}, of(parts))
	assert.Equal(t, []int{3, 4}, of([]int{12, 3, 4}))
	assert.Empty(t, of([]int{12, 5}))
	assert.Equal(t, []int{3}, of([]int{3}))
}

// TestGroupsNeedCases: one large arm does not make up for a small one.
func TestGroupsNeedCases(t *testing.T) {
	p := func(combined, sequenced int) results.GroupComparison {
		var b build
		for i := range combined + sequenced {
			m := b.add(string(rune('A'+i/26))+string(rune('a'+i%26)), 1, 11, casebook.Rotation, 10+float64(i%5), 6+float64(i%7), soft)
			m.Staging = casebook.Combined
			if i >= combined {
				m.Staging = casebook.Sequenced
			}
		}
		q := b.prepare(t, results.DefaultSettings())
		cs := staging(q).Comparisons
		require.Len(t, cs, 1)
		return cs[0]
	}
	small := p(9, 40)
	assert.Equal(t, results.NotComparable, small.Verdict)
	assert.Equal(t, "few-cases-in-arm", small.Warnings[0].ID)
	assert.False(t, small.Adjusted.Low.OK())
	assert.Equal(t, results.NotComparable, p(40, 9).Verdict)
	assert.NotEqual(t, results.NotComparable, p(10, 40).Verdict)
}

// TestCriterionFromAMonth: earlier courses are out; those without a month are
// out too, counted, and the reader is told.
func TestCriterionFromAMonth(t *testing.T) {
	var b build
	start := casebook.NewMonth(2026, 1)
	for i := range 30 {
		id := string(rune('A'+i/26)) + string(rune('a'+i%26))
		b.add(id, 1, 11, casebook.Rotation, 10, 5, soft)
		m := start - casebook.Month(i%2) // half of them a month too early
		if i < 3 {
			m = 0
		}
		b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{ID: id, Start: m})
	}
	p := b.prepare(t, results.DefaultSettings())
	limit := 0.5
	k := results.Criterion{Name: "x", Measure: results.OutsideTolerance, From: start, AtMost: &limit}
	r, _ := evaluate(p, &k, nil)
	assert.Equal(t, 13, r.Movements)
	require.NotEmpty(t, r.Warnings)
	last := r.Warnings[len(r.Warnings)-1]
	assert.Equal(t, "no-month", last.ID)
	assert.Contains(t, last.Text, "3 left out")
	k.From = 0
	r, _ = evaluate(p, &k, nil)
	assert.Equal(t, 30, r.Movements)
	assert.Equal(t, 3, r.Chart.NoQuarter)
}
