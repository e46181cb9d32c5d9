package audit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/declare"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
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
	r := reaudit(p)
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
	n := practices(t, 15)
	var in, steps, tested, ringed, points int
	for seed := range uint64(n) {
		p, _ := changed(t, 4000+seed, 0)
		r := reaudit(p)
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
	r := reaudit(p)
	ch := r.Changes[0]
	assert.False(t, ch.Step.Difference.OK())
	require.NotEmpty(t, ch.Warnings)
	assert.Contains(t, []string{"few-cases-in-arm", "short-trend"}, ch.Warnings[len(ch.Warnings)-1].ID)
	c.Changes[0].Criteria = []string{"rotation"}
	assert.Len(t, reaudit(p).Changes, 1, "a change counts for the criteria it names")
}
