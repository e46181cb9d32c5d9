package audit_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// oneOfEach has one movement for every way out of the flow, and two analysed.
func oneOfEach() *casebook.Dataset {
	zero := move("a", 11, casebook.Vertical, 0, 0.4, casebook.NoStyle)
	small := move("a", 12, casebook.Vertical, 0.1, 0.1, casebook.NoStyle)
	missing := move("b", 11, casebook.Vertical, 1, 0, casebook.SoftwareSuggested)
	missing.Achieved = casebook.Opt[float64]{}
	percentage := missing
	percentage.Tooth, percentage.StatedPercent = 12, casebook.Some(80.0)
	broken := move("c", 11, casebook.Vertical, math.NaN(), 1, casebook.NoStyle)
	ds := logged(zero, small, missing, percentage, broken,
		move("d", 11, casebook.Vertical, 1, 1, casebook.NoStyle),
		move("d", 12, casebook.Vertical, 1, 1, casebook.StyleNone),
		move("d", 13, casebook.Vertical, 1, 1, casebook.ClinicianDesigned),
		move("e", 13, casebook.Vertical, 1, 1, casebook.StyleNone))
	ds.Cases = append(ds.Cases, casebook.Case{ID: "f", Status: casebook.Discontinued})
	ds.Rejected = []casebook.RejectedCount{
		{Kind: casebook.MovementKind, Rule: "tooth-unknown", Rows: 3}, {Kind: casebook.CaseKind, Rule: "status-unknown", Rows: 1},
	}
	ds.Files = []casebook.ImportedFile{{Sheets: []casebook.SheetCounts{
		{Sheet: "movements", Counts: casebook.Counts{Read: 15, Accepted: 9, Rejected: 3, Blank: 3}},
		{Sheet: "cases", Counts: casebook.Counts{Read: 7, Accepted: 6, Rejected: 1}},
	}}, {LaterVersion: "its SHA-256", Sheets: []casebook.SheetCounts{
		{Sheet: "movements", Counts: casebook.Counts{Read: 9, Accepted: 4, Rejected: 5}},
	}}}
	ds.Superseded = 2
	return ds
}

func TestEveryWayOut(t *testing.T) {
	r := mustRun(t, oneOfEach(), nil)
	got := map[string][3]int{}
	for _, e := range r.Excluded {
		got[e.ID] = [3]int{e.Rows, e.Movements, e.Cases}
	}
	assert.Equal(t, map[string][3]int{
		"rejected-tooth-unknown":  {3, 0, 0},
		"rejected-status-unknown": {1, 0, 0},
		"no-movements":            {0, 0, 1},
		"not-a-number":            {0, 1, 1},
		"not-planned":             {0, 1, 0}, // its case goes on with the small plan
		"below-smallest-plan":     {0, 1, 1},
		"percentage-only":         {0, 1, 0},
		"outcome-missing":         {0, 1, 1},
	}, got)
	assert.Equal(t, casebook.Counts{Read: 22, Accepted: 15, Rejected: 4, Blank: 3}, r.Flow.Rows)
	assert.Equal(t, 1, r.Flow.EarlierVersions)
	assert.Equal(t, 2, r.Flow.Superseded)
	assert.Equal(t, 6, r.Flow.CasesLogged)
	assert.Equal(t, []results.StatusCount{{Status: casebook.Completed, Cases: 5}, {Status: casebook.Discontinued, Cases: 1}}, r.Flow.CasesByStatus)
	assert.Equal(t, [2]int{2, 6}, [2]int{r.Flow.Ascertained.Numerator, r.Flow.Ascertained.Denominator})
	last := r.Flow.Steps[len(r.Flow.Steps)-1]
	assert.Equal(t, [2]int{1, 1}, [2]int{last.Movements, last.Cases})
	assert.Equal(t, 4, r.Scope.Movements)
	assert.Equal(t, 2, r.Scope.Cases)
	assert.Equal(t, 4, r.Scope.Teeth)
	assert.False(t, hasWarning(r.Warnings, "rows-do-not-reconcile"))
}

// TestFlowReconciles: what enters a step equals what leaves and what goes on,
// in movements and in cases, on the sample practice and on the odd one.
func TestFlowReconciles(t *testing.T) {
	for name, ds := range map[string]*casebook.Dataset{"odd": oneOfEach(), "sample": invented(2, 80)} {
		r := mustRun(t, ds, nil)
		require.Equal(t, len(ds.Movements), r.Flow.Steps[0].Movements, name)
		for i, step := range r.Flow.Steps[:len(r.Flow.Steps)-1] {
			m, c := step.Movements, step.Cases
			for _, e := range step.Excluded {
				m, c = m-e.Movements, c-e.Cases
			}
			next := r.Flow.Steps[i+1]
			assert.Equal(t, [2]int{next.Movements, next.Cases}, [2]int{m, c}, "%s: after %q", name, step.Title)
		}
		// The analysed step is what the grid holds.
		total := 0
		for _, c := range r.Expression {
			if c.By == (results.By{Axis: c.By.Axis, Course: c.By.Course}) {
				total += c.Movements
			}
		}
		assert.Equal(t, r.Scope.Movements, total, name)
	}
}

// TestGridAddsUp: margins are the sums of their parts. A single tooth under one
// style is listed from ten cases on only.
func TestGridAddsUp(t *testing.T) {
	r := mustRun(t, invented(3, 60), nil)
	movements := map[results.By]int{}
	for _, c := range r.Expression {
		movements[c.By] = c.Movements
		assert.False(t, c.By.Tooth != 0 && c.By.Style != 0 && c.Cases < 10, "%+v", c.By)
	}
	for by, n := range movements {
		sum := func(set func(*results.By, int), to int) (s int) {
			for k := 1; k <= to; k++ {
				part := by
				set(&part, k)
				s += movements[part]
			}
			return s
		}
		toothStyle := by.Tooth != 0 && by.Style != 0
		if by.Direction == 0 && !toothStyle {
			s := 0
			for _, sign := range []float64{1, -1} {
				part := by
				part.Direction = casebook.DirectionOf(by.Axis, sign)
				s += movements[part]
			}
			assert.Equal(t, n, s)
		}
		if by.Style == 0 && by.Tooth == 0 {
			assert.Equal(t, n, sum(func(b *results.By, k int) { b.Style = casebook.Style(k) }, 3))
		}
		if by.Tooth == 0 && by.ToothClass == 0 {
			assert.Equal(t, n, sum(func(b *results.By, k int) { b.ToothClass = casebook.ToothClass(k) }, 4))
		}
		if by.Tooth == 0 && by.Arch == 0 {
			assert.Equal(t, n, sum(func(b *results.By, k int) { b.Arch = casebook.Arch(k) }, 2))
		}
	}
}

func TestRowsThatDoNotReconcileAreNamed(t *testing.T) {
	ds := oneOfEach()
	ds.Files[0].Sheets[0].Read++
	assert.True(t, hasWarning(mustRun(t, ds, nil).Warnings, "rows-do-not-reconcile"))
}

func TestCompletenessCountsWhatCouldBeRecorded(t *testing.T) {
	ds := oneOfEach()
	ds.Cases[0].Status, ds.Cases[1].End = casebook.UnderTreatment, casebook.NewMonth(2026, 1)
	got := map[string][2]int{}
	for _, f := range mustRun(t, ds, nil).Completeness {
		got[f.Record+" "+f.Field] = [2]int{f.Recorded, f.Total}
	}
	assert.Equal(t, [2]int{1, 5}, got["case end month"]) // not of the one under treatment
	assert.Equal(t, [2]int{7, 9}, got["movement achieved"])
	assert.Equal(t, [2]int{5, 9}, got["movement attachment style"])
	assert.Equal(t, [2]int{0, 3}, got["movement attachment shape"]) // of the three with an attachment
}

// TestDate: explicit, or the newest month on record; never the clock.
func TestDate(t *testing.T) {
	ds := oneOfEach()
	ds.Courses = []casebook.Course{{Case: casebook.CaseKey{ID: "a"}, Number: 1, Start: casebook.NewMonth(2025, 11)}}
	assert.Equal(t, "2025-11", mustRun(t, ds, nil).Provenance.Date)
	assert.Equal(t, "2026-02-03", mustRun(t, ds, func(s *results.Settings) { s.Date = "2026-02-03" }).Provenance.Date)
}
