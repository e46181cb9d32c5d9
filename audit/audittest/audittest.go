// Package audittest holds what tests of several rooms of audit share: small
// datasets made by hand, tables of testdata, practices in which nothing matters.
//
// Place in the pipeline: none; only tests import it.
package audittest

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// Build makes a small dataset by hand.
type Build struct{ Dataset casebook.Dataset }

func (b *Build) Add(id string, course int, tooth casebook.Tooth, axis casebook.Axis, planned, achieved float64, st casebook.Style) *casebook.Movement {
	m := casebook.Movement{Case: casebook.CaseKey{ID: id}, Course: course, Tooth: tooth, Axis: axis, Planned: planned, Style: st}
	if !math.IsNaN(achieved) {
		m.Achieved = casebook.Some(achieved)
	}
	b.Dataset.Movements = append(b.Dataset.Movements, m)
	return &b.Dataset.Movements[len(b.Dataset.Movements)-1]
}

func (b *Build) Prepare(t *testing.T, s results.Settings) *rows.Set {
	t.Helper()
	p, err := rows.Prepare(&b.Dataset, s)
	require.NoError(t, err)
	return p
}

const (
	Soft = casebook.SoftwareSuggested
	Clin = casebook.ClinicianDesigned
)

// auditDir is the folder audit above the package whose tests run: the paths in a
// program that was built with -trimpath lead nowhere.
func auditDir(t *testing.T) string {
	t.Helper()
	dir, err := os.Getwd()
	require.NoError(t, err)
	for filepath.Base(dir) != "audit" {
		require.NotEqual(t, filepath.Dir(dir), dir, "no folder audit above the test")
		dir = filepath.Dir(dir)
	}
	return dir
}

// ReadTable reads a CSV of testdata by column name.
func ReadTable(t *testing.T, name string) (rows []map[string]string) {
	t.Helper()
	f, err := os.Open(filepath.Join(auditDir(t), "testdata", name))
	require.NoError(t, err)
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	for _, l := range lines[1:] {
		row := map[string]string{}
		for i, h := range lines[0] {
			row[h] = l[i]
		}
		rows = append(rows, row)
	}
	return rows
}

func Num(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

// Practices is the number of simulated practices: a quarter of a few by default, all of
// them with SHORTFALL_LONG, as in the gate, and as many as SHORTFALL_PRACTICES says
// in the long form (200 or more; about 0.3 s each). With -short, as under the race
// detector, the test is skipped: it would take minutes over code that others run.
func Practices(t *testing.T, few int) int {
	if s := os.Getenv("SHORTFALL_PRACTICES"); s != "" {
		n, err := strconv.Atoi(s)
		require.NoError(t, err)
		return n
	}
	if testing.Short() && !Long() {
		t.Skip("-short simulates no practices")
	}
	return Everyday(few, (few+3)/4)
}

// Everyday is how many of all are done: few, all where Long.
func Everyday(all, few int) int {
	if Long() {
		return all
	}
	return few
}

// Long reports whether tests are asked for all of what everyday they do a part of.
func Long() bool {
	return os.Getenv("SHORTFALL_LONG") != "" || os.Getenv("SHORTFALL_PRACTICES") != ""
}

// NothingMatters is a practice in which neither style, staging nor orientation
// changes anything. Software suggests for large plans and results regress to
// the mean all the same.
func NothingMatters() sampledata.Params {
	p := sampledata.Default()
	p.StyleEffect, p.NoneEffect, p.StagingEffect = nil, nil, 0
	p.LostEffect = 0 // only a bonded feature can be lost, so losing is part of what a style does
	return p
}

// Verdicts counts comparisons that could be made and those that ended higher
// or lower.
type Verdicts struct{ Comparable, Decided int }

func (v *Verdicts) Add(x results.Verdict) {
	v.Comparable += measure.OneIf(x != results.NotComparable)
	v.Decided += measure.OneIf(x.Clear())
}

func (v *Verdicts) Groups(cs []results.GroupComparison) {
	for i := range cs {
		v.Add(cs[i].Verdict)
	}
}

func NaN() float64 { return float64(results.NotEstimable) }
