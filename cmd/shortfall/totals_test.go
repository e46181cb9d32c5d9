package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/grid"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/cmd/exit"
	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlite"
	"shortfall/sampledata"
)

// The grid of sums that a database makes is that of an audit, which adds its movements up
// one by one, within 1e-9 of each number: of a generated practice, in the long form of the sample
// and of more.
func TestGridOfSumsIsTheAudits(t *testing.T) {
	workplace(t)
	var files []string
	practices := uint64(1)
	if os.Getenv("SHORTFALL_LONG") != "" {
		must(t, "shortfall ingest -q --db sample.db practice.csv")
		files, practices = append(files, "sample.db"), 3
	}
	for seed := range practices {
		p := sampledata.Default()
		p.Cases = 40
		ds, _ := sampledata.Generate(p, 100+seed)
		files = append(files, fmt.Sprintf("generated%d.db", seed))
		keepIn(t, files[len(files)-1], ds)
	}
	for _, file := range files {
		for _, change := range []func(*results.Settings){
			func(*results.Settings) {},
			func(s *results.Settings) {
				s.SmallestDeg, s.ToleranceMM, s.ToleranceDeg, s.MinAlignersUsed = 5, .25, 3.5, .5
			},
		} {
			s := results.DefaultSettings()
			change(&s)
			compareGrids(t, file, &s)
		}
	}
}

// keepIn keeps the records of a dataset in a new database.
func keepIn(t *testing.T, file string, ds *casebook.Dataset) {
	t.Helper()
	ctx := context.Background()
	db, err := sqlite.Open(ctx, file)
	require.NoError(t, err)
	defer db.Close()
	_, err = db.Import(ctx, batchOf(file, ds), store.Choices{})
	require.NoError(t, err)
}

// batchOf is a file that gives the records of a dataset.
func batchOf(name string, ds *casebook.Dataset) *casebook.Batch {
	sum := sha256.Sum256([]byte(name))
	return &casebook.Batch{
		File:  casebook.File{Name: name, SHA256: hex.EncodeToString(sum[:])},
		Cases: recordsOf(ds.Cases), Courses: recordsOf(ds.Courses), Movements: recordsOf(ds.Movements), Repeats: recordsOf(ds.Repeats),
	}
}

func recordsOf[T any](values []T) (out []casebook.Record[T]) {
	for i, v := range values {
		out = append(out, casebook.Record[T]{Value: v, Source: casebook.Source{Sheet: "generated", Row: i + 1}})
	}
	return out
}

func compareGrids(t *testing.T, file string, s *results.Settings) {
	t.Helper()
	ctx := context.Background()
	db, err := sqlite.Open(ctx, file)
	require.NoError(t, err)
	defer db.Close()
	ds, err := db.Load(ctx)
	require.NoError(t, err)
	set, err := rows.Prepare(ds, *s)
	require.NoError(t, err)
	want, err := grid.Expression(ctx, set)
	require.NoError(t, err)
	sums, err := db.Sums(ctx, grid.SumsOf(s))
	require.NoError(t, err)
	got := map[results.By]results.Cell{}
	for _, c := range grid.OfSums(sums, s) {
		got[c.By] = c
	}
	require.Len(t, got, len(want))
	require.Greater(t, len(want), 500)
	for i := range want {
		w, g := &want[i], got[want[i].By]
		assert.Equal(t, counts(w), counts(&g), "%+v", w.By)
		a, b := numbers(w), numbers(&g)
		for k := range a {
			assert.Equal(t, a[k].OK(), b[k].OK(), "%+v, number %d", w.By, k)
			if a[k].OK() {
				assert.InDelta(t, float64(a[k]), float64(b[k]), 1e-9*max(1, float64(a[k])), "%+v, number %d", w.By, k)
			}
		}
		if w.By.Direction != casebook.NoDirection && w.By.Tooth == 0 && w.By.Style == 0 && w.By.Arch == 0 && w.By.ToothClass == 0 {
			assert.InDelta(t, float64(w.LowerQuartile), float64(g.LowerQuartile), 1e-9)
			assert.InDelta(t, float64(w.MedianRatio), float64(g.MedianRatio), 1e-9)
			assert.InDelta(t, float64(w.UpperQuartile), float64(g.UpperQuartile), 1e-9)
		}
	}
}

func counts(c *results.Cell) [6]int {
	return [6]int{c.Cases, c.Movements, c.OutsideTolerance.Numerator, c.OutsideTolerance.Denominator, int(c.SmallPlans), int(c.SmallOutside)}
}

func numbers(c *results.Cell) []results.Number {
	return []results.Number{
		c.PlannedTotal, c.AchievedTotal, c.Estimate, c.Low, c.High, c.SE, c.DF, c.MeanAbsError, c.MeanDifference.Value, c.PercentF2, c.Slope,
		c.AveragePatient.Value, c.AveragePatient.Low, c.AveragePatient.High, c.OutsideTolerance.Value,
	}
}

// What the command prints is of the grid of a small practice, in the long form of the sample's.
func TestTotals(t *testing.T) {
	workplace(t)
	file, want := "small.xlsx", `extrusion +initial +all styles +5 +7 +43`
	if os.Getenv("SHORTFALL_LONG") != "" {
		file, want = "practice.csv", `extrusion +initial +all styles +124 +334 +40`
	}
	must(t, "shortfall ingest -q --db sample.db "+file)
	out, errs := must(t, "shortfall records --db sample.db --totals")
	assert.Contains(t, out, "Styles are not compared here")
	assert.Empty(t, errs)
	assert.Regexp(t, want, strings.ReplaceAll(out, "\u00a0", " "))
	code, _, _ := shell(t, "shortfall records --db sample.db --totals MQ-001")
	assert.Equal(t, exit.CodeUsage, code)
	write(t, "empty.csv", "case,status\nA-1,completed\n")
	must(t, "shortfall ingest -q --db empty.db empty.csv")
	out, _ = must(t, "shortfall records --db empty.db --totals")
	assert.Contains(t, out, "no movement")
}
