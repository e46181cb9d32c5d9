package audit_test

import (
	"context"
	"maps"
	"runtime/debug"
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// TestMain lets garbage stand longer than a program would: tests make much of it, and
// collecting it took a sixth of their time.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	m.Run()
}

// mustRun audits a dataset under settings that change may alter.
func mustRun(t testing.TB, ds *casebook.Dataset, change func(*results.Settings)) *results.Results {
	t.Helper()
	s := results.DefaultSettings()
	if change != nil {
		change(&s)
	}
	r, err := audit.Run(context.Background(), ds, s, "test")
	require.NoError(t, err)
	return r
}

var audited sync.Map // of seeds, see standing

// standing is the audit of invented(seed, 160) as it stands by default, made once for all
// tests that only read it.
func standing(t testing.TB, seed uint64) *results.Results {
	t.Helper()
	if r, ok := audited.Load(seed); ok {
		return r.(*results.Results)
	}
	if seed == sampledata.DefaultSeed {
		r, err := audit.OfSample()
		require.NoError(t, err)
		return r
	}
	r := mustRun(t, invented(seed, 160), nil)
	audited.Store(seed, r)
	return r
}

// invented is the sample practice with another seed.
func invented(seed uint64, cases int) *casebook.Dataset {
	p := sampledata.Default()
	p.Cases = cases
	ds, _ := sampledata.Generate(p, seed)
	return ds
}

// move is one movement of an initial course.
func move(id string, tooth casebook.Tooth, axis casebook.Axis, planned, achieved float64, s casebook.Style) casebook.Movement {
	return casebook.Movement{
		Case: casebook.CaseKey{ID: id}, Course: 1, Tooth: tooth, Axis: axis, Planned: planned, Achieved: casebook.Some(achieved), Style: s,
	}
}

// logged completes a dataset with a case log: one completed case for every id.
func logged(movements ...casebook.Movement) *casebook.Dataset {
	ds := &casebook.Dataset{Movements: movements}
	ids := map[string]bool{}
	for _, m := range movements {
		ids[m.Case.ID] = true
	}
	for _, id := range slices.Sorted(maps.Keys(ids)) {
		ds.Cases = append(ds.Cases, casebook.Case{ID: id, Status: casebook.Completed, Start: casebook.NewMonth(2025, 3)})
	}
	return ds
}

func cellOf(t testing.TB, r *results.Results, by results.By) results.Cell {
	t.Helper()
	i := slices.IndexFunc(r.Expression, func(c results.Cell) bool { return c.By == by })
	require.GreaterOrEqual(t, i, 0, "no cell %+v", by)
	return r.Expression[i]
}

func comparisonOf(t testing.TB, r *results.Results, by results.By) results.Comparison {
	t.Helper()
	i := slices.IndexFunc(r.Comparisons, func(c results.Comparison) bool { return c.By == by })
	require.GreaterOrEqual(t, i, 0, "no comparison %+v", by)
	return r.Comparisons[i]
}

func hasWarning(ws []results.Warning, id string) bool {
	return slices.ContainsFunc(ws, func(w results.Warning) bool { return w.ID == id })
}
