package between

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/simulate"
	"shortfall/ingest/casebook"
)

// directions of a simulated practice follow one another.
var directions = len(simulate.New(1, 0.1, 0.3, 0).Directions)

// sameMouthOf gives the difference within mouths of one cell after the movements were
// changed.
func sameMouthOf(t *testing.T, by results.By, change func(i int, m *casebook.Movement)) results.Difference {
	t.Helper()
	p := simulate.New(40, 0.1, 0.3, 0)
	p.Movements, p.Refinements = 24, true
	ds := p.Make(5)
	for i := range ds.Movements {
		change(i, &ds.Movements[i])
	}
	set, err := rows.Prepare(ds, results.DefaultSettings())
	require.NoError(t, err)
	cs, err := Comparisons(context.Background(), set)
	require.NoError(t, err)
	for i := range cs {
		if cs[i].By == by {
			require.True(t, cs[i].Readings[2].Difference.Difference.OK())
			return cs[i].Readings[2].Difference
		}
	}
	t.Fatal("no such cell")
	return results.Difference{}
}

// TestWhatAMethodAddsCancels: teeth measured in one way are compared with one another,
// so a way of measuring that adds to every result changes nothing.
func TestWhatAMethodAddsCancels(t *testing.T) {
	with := func(added float64) results.Difference {
		return sameMouthOf(t, extrusion, func(i int, m *casebook.Movement) {
			if m.MeasuredBy = casebook.Models; i/directions%2 == 0 { // in every mouth some of each direction
				m.MeasuredBy = casebook.SuperimposedScans
				m.Achieved.Value += added * m.Planned
			}
		})
	}
	one, other := with(0), with(0.4)
	assert.InDelta(t, float64(one.Difference), float64(other.Difference), 1e-9)
	assert.InDelta(t, float64(one.SE), float64(other.SE), 1e-9)
}

// TestEachCourseIsAMouth: a course of refinement is a mouth of its own.
func TestEachCourseIsAMouth(t *testing.T) {
	assert.NotEqual(t, mouthOf(&rows.Row{Cluster: 3, Course: 2}), mouthOf(&rows.Row{Cluster: 3, Course: 3}))
}
