package between

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/compare"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/simulate"
	"shortfall/ingest/casebook"
)

// classPractice has extrusions that are so much better where wanted.
func classPractice(t *testing.T, by float64, wanted func(*casebook.Movement) bool) *rows.Set {
	t.Helper()
	p := simulate.New(100, 0.1, 0.3, 0)
	p.Movements = 24
	ds := p.Make(5)
	for i := range ds.Movements {
		if m := &ds.Movements[i]; m.Direction() == casebook.Extrusion && wanted(m) {
			m.Achieved.Value += by * m.Planned
		}
	}
	set, err := rows.Prepare(ds, results.DefaultSettings())
	require.NoError(t, err)
	return set
}

var extrusion = results.By{Axis: casebook.Vertical, Direction: casebook.Extrusion, Course: results.Initial}

// TestOneClassIsNotAllTeeth: styles that differ in incisors alone are not called for all
// teeth; the class is named, also in what leaves the practice, and called by itself.
func TestOneClassIsNotAllTeeth(t *testing.T) {
	p := classPractice(t, 0.5, func(m *casebook.Movement) bool {
		return m.Style == casebook.ClinicianDesigned && m.Tooth.Class() == casebook.Incisor
	})
	cs, err := Comparisons(context.Background(), p)
	require.NoError(t, err)
	told := 0
	for i := range cs {
		c := &cs[i]
		whole := c.By == extrusion
		incisors := extrusion
		incisors.ToothClass = casebook.Incisor
		switch {
		case whole:
			assert.Equal(t, string(compare.ClassesDiffer), c.Reason)
			assert.Less(t, float64(c.Adjusted.PAdjusted), 0.05, "the difference itself is beyond chance")
			assert.Contains(t, c.Because, "One tooth class makes the difference: with incisors set apart")
			withholdNames(p, c)
			assert.Contains(t, c.Because, "with incisors set apart")
			told++
		case c.By == incisors:
			assert.Equal(t, results.Higher, c.Verdict)
			told++
		}
	}
	assert.Equal(t, 2, told)
}

// TestGroupsOfOneClass: what holds of styles holds of the other questions: attachment or
// none, differing in incisors alone, or half as much more in them.
func TestGroupsOfOneClass(t *testing.T) {
	attached := func(by map[casebook.ToothClass]float64) results.GroupComparison {
		p := classPractice(t, 1, func(*casebook.Movement) bool { return false })
		for i := range p.Analysed {
			if r := &p.Analysed[i]; rows.Featured(r) && r.Direction == casebook.Extrusion {
				r.Achieved += by[r.Class] * r.Planned
			}
		}
		cells, lists := CellsByDirection(p, func(r *rows.Row) bool { return r.Direction == casebook.Extrusion })
		require.Len(t, cells, 1)
		var f Family
		f.Ask(cells[0], lists[0], &Grouping{Group: rows.Featured, Names: [2]string{"with an attachment", "without one"}})
		return f.Judge(context.Background(), p)[0]
	}
	alone := attached(map[casebook.ToothClass]float64{casebook.Incisor: 0.4})
	assert.Equal(t, string(compare.ClassesDiffer), alone.Reason)
	assert.Less(t, float64(alone.Adjusted.PAdjusted), 0.05)
	assert.Contains(t, alone.Reading, "not distinguishable")
	all := attached(map[casebook.ToothClass]float64{casebook.Incisor: 0.2, casebook.Canine: 0.2, casebook.Premolar: 0.2, casebook.Molar: 0.2})
	assert.Equal(t, results.Higher, all.Verdict, all.Reading)
	judged := []results.GroupComparison{all}
	judgeGroups(&rows.Set{Settings: results.DefaultSettings()}, judged, []compare.Candidate{{Difference: 0.2, P: 0.001, ClassP: 0.01, WithoutDoubted: math.NaN()}})
	assert.Equal(t, string(compare.ClassesDiffer), judged[0].Reason, "the test of alike classes decides for groups too")
}
