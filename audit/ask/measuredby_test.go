package ask_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask/measuredby"
	"shortfall/audit/ask/methoderror"
	"shortfall/audit/audittest"
	"shortfall/audit/between"
	"shortfall/audit/grid"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// twoWays is a practice without any difference between styles. Superimposed scans
// read 30 points less than models do, and teeth with a clinician's design were
// measured on scans more often, within every mouth.
func twoWays(t *testing.T, record bool) *rows.Set {
	t.Helper()
	var b audittest.Build
	teeth := []casebook.Tooth{14, 15, 24, 25, 34, 35, 44, 45} // of one class: nothing is said of classes
	for i := range 40 {
		id := fmt.Sprintf("case %02d", i)
		for k, tooth := range teeth {
			style, scans := audittest.Soft, k/2 == (i+1)%4
			if k%2 == i%2 {
				style, scans = audittest.Clin, k/2 != i%4
			}
			planned := 8 + float64((3*i+5*k)%9)
			share := 0.8 + 0.1*float64((7*i+11*k+i*k)%5-2)
			if scans {
				share -= 0.3
			}
			m := b.Add(id, 1, tooth, casebook.Rotation, planned, planned*share, style)
			if m.MeasuredBy = casebook.NoMethod; record {
				m.MeasuredBy = casebook.Models
				if scans {
					m.MeasuredBy = casebook.SuperimposedScans
				}
			}
			if k < 2 {
				b.Dataset.Repeats = append(b.Dataset.Repeats, casebook.Repeat{Case: m.Case, Course: 1, Tooth: tooth, Axis: m.Axis, First: 5, Second: 5 + float64(i%3-1)*share})
			}
		}
	}
	return b.Prepare(t, results.DefaultSettings())
}

func rotation(t *testing.T, p *rows.Set) *results.Comparison {
	t.Helper()
	cs, err := between.Comparisons(context.Background(), p)
	require.NoError(t, err)
	for i := range cs {
		if cs[i].By.WholeDirection() {
			return &cs[i]
		}
	}
	t.Fatal("no comparison")
	return nil
}

// TestStylesWithinOneWay: what a way of measuring adds is not a style's. Not recorded,
// it is called one; recorded, it is not.
func TestStylesWithinOneWay(t *testing.T) {
	assert.Equal(t, results.Lower, rotation(t, twoWays(t, false)).Verdict, "the practice shows what it should not")
	c := rotation(t, twoWays(t, true))
	assert.Equal(t, results.NotDistinguishable, c.Verdict, c.Reading)
	assert.True(t, c.Adjusted.Low < 0 && c.Adjusted.High > 0)
}

// TestWaysApart: expression by each way, the error of each, and a note on every cell
// that takes them together.
func TestWaysApart(t *testing.T) {
	p := twoWays(t, true)
	a := answered(t, measuredby.Question(), p).Questions.Measured
	require.Len(t, a.Ways, 2)
	for _, c := range a.Cells {
		var planned, achieved float64
		for i := range p.Analysed {
			if r := &p.Analysed[i]; r.Movement.MeasuredBy == c.Method && r.Direction == c.By.Direction {
				planned, achieved = planned+r.Planned, achieved+r.Achieved
			}
		}
		assert.InEpsilon(t, achieved/planned, float64(c.Expression.Value), 1e-12)
		assert.True(t, c.Expression.Low.OK())
	}
	require.Len(t, a.Cells, 2)
	cells, err := grid.Expression(context.Background(), p)
	require.NoError(t, err)
	noted := 0
	for i := range cells {
		for _, w := range cells[i].Warnings {
			if w.ID == "measured-in-several-ways" {
				noted++
			}
		}
	}
	assert.Positive(t, noted)
	errors := methoderror.Answer(p)
	require.Len(t, errors, 2)
	assert.NotEqual(t, errors[0].MeasuredBy, errors[1].MeasuredBy)
	assert.NotEqual(t, errors[0].Dahlberg, errors[1].Dahlberg)
	r := &results.Results{Questions: results.Questions{Measured: a}}
	assert.Contains(t, measuredby.Question().Section(r).Lines[0].Text, "superimposed scans (")
	one := answered(t, measuredby.Question(), twoWays(t, false)).Questions.Measured
	assert.Empty(t, one.Cells)
	assert.Contains(t, measuredby.Question().Section(&results.Results{Questions: results.Questions{Measured: one}}).Lines[0].Text, "not recorded (320\u00a0movements in 40\u00a0cases)")
}

// TestMissingOutcomesStandWithTheirCourse: a movement that was never measured says
// nothing of how; it stays in the mouth of its course.
func TestMissingOutcomesStandWithTheirCourse(t *testing.T) {
	var b audittest.Build
	b.Add("a", 1, 11, casebook.Rotation, 10, 6, audittest.Soft).MeasuredBy = casebook.Models
	b.Add("a", 1, 12, casebook.Rotation, 10, audittest.NaN(), audittest.Clin)
	b.Add("a", 2, 12, casebook.Rotation, 10, audittest.NaN(), audittest.Clin)
	b.Dataset.Courses = []casebook.Course{{Case: casebook.CaseKey{ID: "a"}, Number: 2, MeasuredBy: casebook.NextPlanStart}}
	p := b.Prepare(t, results.DefaultSettings())
	require.Len(t, p.Missing, 2)
	assert.Equal(t, casebook.Models, p.Missing[0].Method)
	assert.Equal(t, casebook.NextPlanStart, p.Missing[1].Method)
}
