package audit

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// Behind every cell of the grid stand as many movements and cases as it prints, and
// their sums are its totals.
func TestTrailAddsUp(t *testing.T) {
	ds, _ := sampledata.Generate(sampledata.Default(), sampledata.DefaultSeed)
	s := results.DefaultSettings()
	r, err := Run(t.Context(), ds, s, "test")
	require.NoError(t, err)
	trail, err := Follow(ds, s)
	require.NoError(t, err)
	for i, c := range r.Expression {
		if i%7 != 0 { // every seventh: each takes a walk over all movements
			continue
		}
		steps, cases := trail.Movements(c.By, "")
		assert.Equal(t, c.Movements, len(steps), "%v", c.By)
		assert.Equal(t, c.Cases, cases, "%v", c.By)
		var planned, achieved float64
		for _, x := range steps {
			planned, achieved = planned+x.Planned, achieved+x.Achieved
		}
		assert.InDelta(t, float64(c.PlannedTotal), planned, 1e-6, "%v", c.By)
		assert.InDelta(t, float64(c.AchievedTotal), achieved, 1e-6, "%v", c.By)
	}
	for i, b := range r.Refinements.Distribution {
		assert.Len(t, trail.Finished(i, i == len(r.Refinements.Distribution)-1, casebook.NoStyle), b.Cases, b.Label)
	}
	for _, of := range r.Refinements.ByStyle {
		for i, b := range of.Distribution {
			assert.Len(t, trail.Finished(i, i == len(of.Distribution)-1, of.Style), b.Cases, "%s %s", of.Style, b.Label)
		}
	}
}

// The quarters of a direction hold all of its movements between them.
func TestTrailByQuarter(t *testing.T) {
	ds, _ := sampledata.Generate(sampledata.Default(), sampledata.DefaultSeed)
	trail, err := Follow(ds, results.DefaultSettings())
	require.NoError(t, err)
	by := results.By{Axis: casebook.Vertical, Direction: casebook.Extrusion}
	all, _ := trail.Movements(by, "")
	quarters := map[string]bool{}
	for i := range ds.Cases {
		quarters[ds.Cases[i].Start.Quarter()] = true
	}
	for i := range ds.Courses {
		quarters[ds.Courses[i].Start.Quarter()] = true
	}
	n, cases := 0, 0
	for q := range quarters {
		if q != "" {
			steps, _ := trail.Movements(by, q)
			n += len(steps)
			cases += len(trail.Cases(q))
		}
	}
	assert.Equal(t, len(all), n)
	assert.Equal(t, len(trail.Cases("")), cases)
}

// Behind every path of those that fell short stand as many movements and cases as it
// prints, twice each: the course that fell short, and the next.
func TestTrailOfPaths(t *testing.T) {
	ds, _ := sampledata.Generate(sampledata.Default(), sampledata.DefaultSeed)
	s := results.DefaultSettings()
	r, err := Run(t.Context(), ds, s, "test")
	require.NoError(t, err)
	trail, err := Follow(ds, s)
	require.NoError(t, err)
	require.NotEmpty(t, r.Questions.Switches.Paths)
	for _, p := range r.Questions.Switches.Paths {
		steps, cases := trail.Path(p.Axis, p.From, p.To)
		require.Len(t, steps, 2*p.Movements)
		assert.Equal(t, p.Cases, cases)
		for i := 0; i < len(steps); i += 2 {
			first, next := steps[i], steps[i+1]
			assert.Equal(t, first.Course+1, next.Course)
			assert.Equal(t, [3]any{first.Case, first.Tooth, first.Direction}, [3]any{next.Case, next.Tooth, next.Direction})
			assert.True(t, first.Outside && first.Achieved < first.Planned)
			assert.Equal(t, [2]any{p.From, p.To}, [2]any{first.Style, next.Style})
		}
	}
}

// A sheet of movements alone, without a list of cases, names its practice too.
func TestScopeNamesPracticesOfMovements(t *testing.T) {
	ds, _ := sampledata.Generate(sampledata.Default(), sampledata.DefaultSeed)
	want := []string{}
	for _, c := range ds.Cases {
		if !slices.Contains(want, c.Practice) {
			want = append(want, c.Practice)
		}
	}
	slices.Sort(want)
	require.NotEmpty(t, want)
	ds.Cases = nil
	r, err := Run(t.Context(), ds, results.DefaultSettings(), "test")
	require.NoError(t, err)
	assert.Equal(t, want, r.Scope.Practices)
}
