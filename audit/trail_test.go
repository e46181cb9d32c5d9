package audit

import (
	"context"
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// OfSample is the audit of the sample as it stands by default, made once for all tests that
// only read it.
var OfSample = sync.OnceValues(func() (*results.Results, error) {
	ds, _ := sampledata.Generate(sampledata.Default(), sampledata.DefaultSeed)
	return Run(context.Background(), ds, results.DefaultSettings(), "test")
})

// Behind every cell of the grid stand as many movements and cases as it prints, and
// their sums are its totals.
func TestTrailAddsUp(t *testing.T) {
	ds, _ := sampledata.Generate(sampledata.Default(), sampledata.DefaultSeed)
	r, err := OfSample()
	require.NoError(t, err)
	trail, err := Follow(ds, results.DefaultSettings())
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

// Every step of the flow holds the movements and cases that it prints, and so does what
// leaves; of a period too, but for what is counted alone.
func TestTrailOfTheFlow(t *testing.T) {
	ds, _ := sampledata.Generate(sampledata.Default(), sampledata.DefaultSeed)
	for _, period := range []results.Period{{}, {From: casebook.NewMonth(2025, 1), To: casebook.NewMonth(2025, 12)}} {
		s := results.DefaultSettings()
		s.Period = period
		r, err := OfSample()
		if period != (results.Period{}) {
			r, err = Run(t.Context(), ds, s, "test")
		}
		require.NoError(t, err)
		trail, err := Follow(ds, s)
		require.NoError(t, err)
		listed := 0
		for i, f := range r.Flow.Steps {
			if !trail.InFlow(i, false) {
				continue
			}
			listed++
			steps, _ := trail.Flow(i, false)
			assert.Len(t, steps, f.Movements, f.Title)
			left := 0
			for _, e := range f.Excluded {
				left += e.Movements
			}
			steps, _ = trail.Flow(i, true)
			assert.Len(t, steps, left, f.Title)
			assert.Equal(t, left > 0, trail.InFlow(i, true), f.Title)
		}
		assert.Greater(t, listed, 6)
		assert.False(t, trail.InFlow(-1, false))
		assert.False(t, trail.InFlow(len(r.Flow.Steps), false))
		for _, b := range r.Questions.ByPlan {
			bound := func(n results.Number) float64 { return float64(n) }
			steps, cases := trail.Sized(results.By{Axis: b.Axis, Style: b.Style, Course: results.Initial}, bound(b.From), bound(b.To))
			assert.Len(t, steps, b.Movements, "%v", b)
			assert.Equal(t, b.Cases, cases, "%v", b)
		}
		assert.Len(t, trail.Followed(), r.FollowUp.Cases)
	}
}

// Behind a point of a funnel stand the cases of its code.
func TestTrailOfAUnit(t *testing.T) {
	ds, _ := sampledata.Generate(sampledata.Default(), sampledata.DefaultSeed)
	trail, err := Follow(ds, results.DefaultSettings())
	require.NoError(t, err)
	by := map[string]int{}
	for i := range ds.Cases {
		by[ds.Cases[i].Clinician]++
	}
	require.Greater(t, len(by), 1)
	for code, n := range by {
		if code != "" {
			assert.Len(t, trail.Of(code, ""), n, code)
		}
	}
	assert.Len(t, trail.Of("", ds.Cases[0].Practice), len(ds.Cases))
	assert.Empty(t, trail.Of("nobody", ""))
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
	r, err := OfSample()
	require.NoError(t, err)
	trail, err := Follow(ds, results.DefaultSettings())
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
	p := sampledata.Default()
	p.Cases = 12
	ds, _ := sampledata.Generate(p, sampledata.DefaultSeed)
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
