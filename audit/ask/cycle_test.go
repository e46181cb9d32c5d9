package ask_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask/cycle"
	"shortfall/audit/audittest"
	"shortfall/audit/declare"
	"shortfall/audit/disclose"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/series"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// changed makes a practice whose extrusion is better by gain of the plan in
// courses begun from the month of the change on.
func changed(t *testing.T, seed uint64, gain float64) (*rows.Set, *results.Criteria) {
	t.Helper()
	params := sampledata.Default()
	params.Cases, params.Months = 400, 30
	params.Freeze = params.FirstStart + 48
	ds, _ := sampledata.Generate(params, seed)
	month := params.FirstStart + 15
	starts := map[casebook.CourseKey]casebook.Month{}
	for _, c := range ds.Courses {
		starts[c.Key()] = c.Start
	}
	for i := range ds.Movements {
		m := &ds.Movements[i]
		if m.Direction() == casebook.Extrusion && m.Achieved.OK && starts[casebook.CourseKey{Case: m.Case, Number: m.Course}] >= month {
			m.Achieved.Value += gain * m.Planned
		}
	}
	target := 0.5
	c := &results.Criteria{
		Version: 1, Changes: []results.ProtocolChange{{Month: month, Description: "extrusion sequenced"}},
		Criteria: []results.Criterion{
			{Name: "extrusion", Measure: results.ExpressionRatio, Direction: casebook.Extrusion, Course: results.Initial, AtLeast: &target},
			{Name: "extrusion misses", Measure: results.OutsideTolerance, Direction: casebook.Extrusion, Course: results.Initial, AtMost: &target},
			{Name: "rotation", Measure: results.MeanShortfallOf, Direction: casebook.MesialIn, Course: results.Initial, AtMost: &target},
		},
	}
	for q := range 4 {
		for i := range c.Criteria {
			c.Criteria[i].Baseline = append(c.Criteria[i].Baseline, (params.FirstStart + casebook.Month(3*q)).Quarter())
		}
	}
	require.NoError(t, declare.CheckCriteria(c))
	s := results.DefaultSettings()
	s.Questions.Criteria = c
	p, err := rows.Prepare(ds, s)
	require.NoError(t, err)
	return p, c
}

func TestProtocolChangeIsSeen(t *testing.T) {
	p, _ := changed(t, 31, 0.25)
	r := cycle.Answer(p)
	require.Len(t, r.Criteria, 3)
	require.Len(t, r.Changes, 3)
	up, misses, rotation := r.Changes[0], r.Changes[1], r.Changes[2]
	assert.InDelta(t, 0.25, float64(up.Difference.Difference), 0.06, up.Reading)
	assert.Positive(t, float64(up.Difference.Low))
	assert.InDelta(t, 0.25, float64(up.Step.Difference), 0.15)
	assert.Negative(t, float64(misses.Difference.High), misses.Reading)
	assert.Contains(t, misses.Reading, "is lower after")
	assert.Contains(t, rotation.Reading, "did not change")
	assert.Len(t, r.Criteria[0].Chart.Marks, 1)
	breached := false
	for _, b := range r.Criteria[0].Chart.Breaches {
		breached = breached || b.Quarter >= r.Changes[0].Change.Month.Quarter()
	}
	assert.True(t, breached, "the run chart shows it too: %v", r.Criteria[0].Chart.Breaches)
	for _, k := range r.Criteria {
		assert.Zero(t, k.Chart.NoQuarter)
		total := 0
		for _, pt := range k.Chart.Points {
			total += pt.Movements
		}
		assert.Equal(t, k.Movements, total, "every movement is in one quarter")
	}
}

// TestNoChangeIsNotSeen: intervals of the difference and of the step cover no
// change about as often as they claim, and few in-control quarters are ringed.
func TestNoChangeIsNotSeen(t *testing.T) {
	n := audittest.Practices(t, 24)
	var in, steps, tested, ringed, points int
	for seed := range uint64(n) {
		p, _ := changed(t, 4000+seed, 0)
		r := cycle.Answer(p)
		for _, c := range r.Changes {
			tested++
			in += measure.OneIf(c.Difference.Low <= 0 && c.Difference.High >= 0)
			steps += measure.OneIf(c.Step.Low <= 0 && c.Step.High >= 0)
		}
		for _, k := range r.Criteria {
			for _, pt := range k.Chart.Points {
				points++
				ringed += measure.OneIf(pt.Breached)
			}
		}
	}
	t.Logf("of %d: difference covers none %d, step %d; %d of %d quarters ringed", tested, in, steps, ringed, points)
	assert.Greater(t, float64(in), 0.88*float64(tested))
	assert.Greater(t, float64(steps), 0.88*float64(tested))
	assert.Less(t, float64(ringed), 0.06*float64(points))
}

func TestShortSidesSayWhy(t *testing.T) {
	p, c := changed(t, 33, 0)
	c.Changes[0].Month = casebook.NewMonth(2023, 11) // one month of data before
	r := cycle.Answer(p)
	ch := r.Changes[0]
	assert.False(t, ch.Step.Difference.OK())
	require.NotEmpty(t, ch.Warnings)
	assert.Contains(t, []string{"few-cases-in-arm", "short-trend"}, ch.Warnings[len(ch.Warnings)-1].ID)
	c.Changes[0].Criteria = []string{"rotation"}
	assert.Len(t, cycle.Answer(p).Changes, 1, "a change counts for the criteria it names")
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
		assert.Equal(t, c.most, cycle.AnswerTo(most, x), "at most, %v to %v", c.low, c.high)
		assert.Equal(t, c.least, cycle.AnswerTo(least, x), "at least, %v to %v", c.low, c.high)
	}
}

// TestCriterionFromAMonth: earlier courses are out; those without a month are
// out too, counted, and the reader is told.
func TestCriterionFromAMonth(t *testing.T) {
	var b audittest.Build
	start := casebook.NewMonth(2026, 1)
	for i := range 30 {
		id := string(rune('A'+i/26)) + string(rune('a'+i%26))
		b.Add(id, 1, 11, casebook.Rotation, 10, 5, audittest.Soft)
		m := start - casebook.Month(i%2) // half of them a month too early
		if i < 3 {
			m = 0
		}
		b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{ID: id, Start: m})
	}
	p := b.Prepare(t, results.DefaultSettings())
	limit := 0.5
	k := results.Criterion{Name: "x", Measure: results.OutsideTolerance, From: start, AtMost: &limit}
	r, _ := cycle.Evaluate(p, disclose.Rule{}, &k, nil)
	assert.Equal(t, 13, r.Movements)
	require.NotEmpty(t, r.Warnings)
	last := r.Warnings[len(r.Warnings)-1]
	assert.Equal(t, "no-month", last.ID)
	assert.Contains(t, last.Text, "3 left out")
	k.From = 0
	r, _ = cycle.Evaluate(p, disclose.Rule{}, &k, nil)
	assert.Equal(t, 30, r.Movements)
	assert.Equal(t, 3, r.Chart.NoQuarter)
}

func TestTargetOnTheLimit(t *testing.T) {
	limit := 0.3
	assert.Equal(t, results.NotEnoughData, cycle.AnswerTo((&results.Criterion{AtMost: &limit}), results.Spread{Low: 0.3, High: 0.4}), "0.3 itself would meet the target")
	assert.Equal(t, results.NotEnoughData, cycle.AnswerTo((&results.Criterion{AtLeast: &limit}), results.Spread{Low: 0.2, High: 0.3}))
}

func TestChangeMonthBelongsToAfter(t *testing.T) {
	month := casebook.NewMonth(2025, 4)
	var parts []series.Part
	for i := range 60 {
		m := month - 1 + casebook.Month(i%2)
		if i >= 50 {
			m = 0 // no month: on neither side
		}
		parts = append(parts, series.Part{Cluster: i, Month: m, Quarter: series.QuarterOf(m), Num: float64(i % 3 % 2), Den: 1, N: 1})
	}
	p := &rows.Set{Settings: results.DefaultSettings()}
	r := cycle.ChangeResult(p, disclose.Rule{}, &results.Criterion{Name: "x", Measure: results.OutsideTolerance}, &results.ProtocolChange{Month: month}, parts)
	assert.Equal(t, [2]int{25, 25}, [2]int{r.Before.Cases, r.After.Cases})
	for i := range 6 { // the outcome may still come: on neither side, and said
		parts[i].Immature = true
	}
	r = cycle.ChangeResult(p, disclose.Rule{}, &results.Criterion{Name: "x", Measure: results.OutsideTolerance}, &results.ProtocolChange{Month: month}, parts)
	assert.Equal(t, [2]int{22, 22}, [2]int{r.Before.Cases, r.After.Cases})
	assert.Equal(t, "immature", r.Warnings[len(r.Warnings)-1].ID)
}
