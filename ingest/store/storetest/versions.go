package storetest

import (
	"context"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// version is a file of the cases from..to with so many rejected rows.
func version(name string, from, to, rejected int) *casebook.Batch {
	b := &casebook.Batch{File: FileOf(name)}
	for c := from; c < to; c++ {
		id := fmt.Sprintf("C-%05d", c)
		b.Cases = append(b.Cases, record(casebook.Case{ID: id, Status: casebook.Completed}, "cases", c+2, id))
	}
	for i := range rejected {
		b.Rejected = append(b.Rejected, casebook.Rejected{
			Kind: casebook.CaseKind, Source: casebook.Source{Sheet: "cases", Row: to + 2 + i},
			Reasons: []casebook.Problem{{Rule: "case-status"}},
		})
	}
	b.Sheets = []casebook.SheetCounts{{
		Sheet: "cases", Kind: casebook.CaseKind,
		Counts: casebook.Counts{Read: to - from + rejected, Accepted: to - from, Rejected: rejected},
	}}
	return b
}

// laterOf imports the batches and tells which have a later version, by name.
func (im Implementation) laterOf(t *testing.T, batches ...*casebook.Batch) (map[string]string, *casebook.Dataset) {
	t.Helper()
	db := im.Create(t)
	names, later := map[string]string{}, map[string]string{}
	for _, b := range batches {
		MustImport(t, db, b)
		names[b.File.SHA256] = b.File.Name
	}
	ds := MustLoad(t, db)
	files, err := db.Files(context.Background())
	require.NoError(t, err)
	assert.Equal(t, ds.Files, files)
	for _, f := range files {
		if f.LaterVersion != "" {
			later[f.Name] = names[f.LaterVersion]
		}
	}
	return later, ds
}

// A workbook that grows, and is corrected, counts once: the rejected rows of
// its last version are those that still are.
func (im Implementation) testGrowingWorkbookCountsOnce(t *testing.T) {
	corrected := version("third", 0, 20, 1)
	corrected.Cases[3].Value.Wear = casebook.WearPoor
	later, ds := im.laterOf(t, version("first", 0, 10, 4), version("second", 0, 15, 3), corrected)
	assert.Equal(t, map[string]string{"first": "second", "second": "third"}, later)
	assert.Equal(t, []casebook.RejectedCount{{Kind: casebook.CaseKind, Rule: "case-status", Rows: 1}}, ds.Rejected)
	assert.Zero(t, ds.Superseded, "the row of the earlier version is not counted as read either")
	assert.Len(t, ds.Cases, 20)
}

// A short file of corrections leaves the file it corrects in the count, and so
// does one that gives exactly half of it.
func (im Implementation) testCorrectionsAloneAreNoVersion(t *testing.T) {
	short := version("corrections", 2, 4, 0)
	short.Cases[0].Value.Wear = casebook.WearPoor
	later, ds := im.laterOf(t, version("whole", 0, 10, 4), short, version("half", 5, 10, 0))
	assert.Empty(t, later)
	require.Len(t, ds.Rejected, 1)
	assert.Equal(t, 4, ds.Rejected[0].Rows)
	assert.Equal(t, 1, ds.Superseded)
}

// Two practices, each with its own workbook and versions of it, one much larger.
func (im Implementation) testVersionsOfTwoWorkbooksAreKeptApart(t *testing.T) {
	later, ds := im.laterOf(t, version("small", 100, 104, 2), version("large", 0, 50, 3), version("large again", 0, 51, 1), version("other", 200, 204, 1))
	assert.Equal(t, map[string]string{"large": "large again"}, later)
	require.Len(t, ds.Rejected, 1)
	assert.Equal(t, 2+1+1, ds.Rejected[0].Rows)
}

// A list of cases and a log that says less of them give the same records in either order;
// what a file is silent about stays, and what it says is right.
func (im Implementation) testSilenceTakesNothing(t *testing.T) {
	var ways [2]*casebook.Dataset
	for i, order := range [][]*casebook.Batch{{caseList(), caseLog("log")}, {caseLog("log"), caseList()}} {
		db := im.Create(t)
		MustImport(t, db, order[0])
		MustImport(t, db, order[1])
		ways[i] = MustLoad(t, db)
	}
	assert.Equal(t, ways[0].Cases, ways[1].Cases)
	assert.Equal(t, casebook.Case{ID: "C-1", Clinician: "K1", AgeBand: casebook.AgeBandOf(30), Start: 24295, End: 24307, Status: casebook.Completed, StatedRefinements: casebook.Some(1)}, ways[0].Cases[0])
}

// caseList is a list of cases, caseLog a log of two of them that says less.
func caseList() *casebook.Batch {
	b := &casebook.Batch{File: FileOf("list")}
	for i, id := range []string{"C-1", "C-2", "C-3"} {
		b.Cases = append(b.Cases, record(casebook.Case{ID: id, Clinician: "K1", AgeBand: casebook.AgeBandOf(30), End: 24307, Status: casebook.Completed, StatedRefinements: casebook.Some(1)}, "list", i+2, id))
	}
	return b
}

func caseLog(name string) *casebook.Batch {
	b := addChart(chart(name, "C-1", 5, 5), "C-2", 1, 5, 9)
	for i := range b.Cases {
		b.Cases[i].Value.Status, b.Cases[i].Value.Start = casebook.NoStatus, 24295
	}
	b.Movements[0].Value.Style = casebook.ClinicianDesigned
	return b
}

// Later files take back what they say in a column that they have, and nothing else.
func (im Implementation) testSilenceOfLaterFiles(t *testing.T) {
	db := im.Create(t)
	MustImport(t, db, caseList())
	MustImport(t, db, caseLog("log"))
	first := caseLog("log").Movements[0].Value.Key()
	movement := func() casebook.Movement {
		all := MustLoad(t, db).Movements
		return all[slices.IndexFunc(all, func(m casebook.Movement) bool { return m.Key() == first })]
	}
	files, err := db.Files(context.Background())
	require.NoError(t, err)
	assert.Empty(t, files[0].LaterVersion, "a log is no later version of the list")
	assert.Error(t, func() error { _, err := db.RemoveFile(context.Background(), FileOf("list").SHA256, "test"); return err }(), "the log rests on it")
	again := caseLog("later log") // a later version of the log: still no column of the clinician, and the start of one case is blank now
	again.Cases[1].Value.Start = 0
	again.Movements[0].Value.Achieved = casebook.Opt[float64]{}
	out := MustImport(t, db, again)
	require.NotEmpty(t, out.Earlier)
	ds := MustLoad(t, db)
	assert.Equal(t, "K1", ds.Cases[1].Clinician)
	assert.Zero(t, ds.Cases[1].Start, "taken back in a column that the file has")
	assert.False(t, movement().Achieved.OK, "not measured is what the file says")
	plans := caseLog("plans") // no column of the style
	plans.Movements[0].Value.Style = casebook.NoStyle
	plans.Movements[0].Value.Staging = casebook.Staging(1)
	plans.Movements = plans.Movements[:1]
	plans.Cases = nil
	MustImport(t, db, plans)
	assert.Equal(t, casebook.ClinicianDesigned, movement().Style)

	other := caseList()
	other.File = FileOf("another list")
	other.Cases = other.Cases[:1]
	other.Cases[0].Value.AgeBand, other.Cases[0].Value.Own.AgeBand = casebook.NoAgeBand, "40-49"
	other.Cases[0].Value.Status, other.Cases[0].Value.End = casebook.UnderTreatment, 0
	MustImport(t, db, other)
	one := MustLoad(t, db).Cases[0]
	assert.Equal(t, casebook.NoAgeBand, one.AgeBand, "another age")
	assert.Zero(t, one.End, "a case under treatment has not ended")
	assert.Equal(t, casebook.Some(1), one.StatedRefinements)
}

// A list of plans without one outcome takes none away; a file with outcomes says by a blank
// that one was not measured.
func (im Implementation) testPlansTakeNoOutcome(t *testing.T) {
	db := im.Create(t)
	key := caseLog("log").Movements[1].Value.Key()
	second := func() casebook.Movement {
		all := MustLoad(t, db).Movements
		return all[slices.IndexFunc(all, func(m casebook.Movement) bool { return m.Key() == key })]
	}
	MustImport(t, db, caseLog("log"))
	require.Equal(t, casebook.Some(1.5), second().Achieved)
	plans := caseLog("plans")
	for i := range plans.Movements {
		plans.Movements[i].Value.Achieved, plans.Movements[i].Value.Staging = casebook.Opt[float64]{}, casebook.Combined
	}
	MustImport(t, db, plans)
	assert.Equal(t, casebook.Some(1.5), second().Achieved)
	assert.Equal(t, casebook.Combined, second().Staging)
	correction := chart("correction", "C-1", 2, 5)
	correction.Movements[1].Value.Achieved = casebook.Opt[float64]{}
	MustImport(t, db, correction)
	assert.False(t, second().Achieved.OK)
}

// Amounts that a person confirmed stay confirmed in later versions of their file, and no
// longer once they change; what replaced them undone, they are confirmed again.
func (im Implementation) testConfirmedAmountsStay(t *testing.T) {
	db := im.Create(t)
	ctx := context.Background()
	first := func() (*casebook.Movement, string) {
		m := MustLoad(t, db).Movements[0]
		return &m, m.Case.ID
	}
	MustImport(t, db, Practice("asked nobody", 2, 4))
	m, id := first()
	require.Equal(t, casebook.NotConfirmed, m.Confirmed)
	at := func(name string, change func(*casebook.Movement)) *casebook.Batch {
		b := Practice(name, 2, 4)
		for i := range b.Movements {
			if v := &b.Movements[i].Value; v.Case.ID == id && v.Course == m.Course && v.Tooth == m.Tooth && v.Axis == m.Axis {
				change(v)
			}
		}
		return b
	}
	out := MustImport(t, db, at("answered", func(v *casebook.Movement) { v.Confirmed = casebook.AsMeasured }))
	assert.Equal(t, 1, out.Tallies[casebook.MovementKind].Superseded)
	out = MustImport(t, db, at("next quarter", func(*casebook.Movement) {}))
	assert.Zero(t, out.Tallies[casebook.MovementKind].Superseded)
	m, _ = first()
	assert.Equal(t, casebook.AsMeasured, m.Confirmed)
	for _, change := range []func(*casebook.Movement){
		func(v *casebook.Movement) { v.Achieved = casebook.Some(61.0) }, func(v *casebook.Movement) { v.Planned = 62 },
	} {
		MustImport(t, db, at("corrected", change))
		m, _ = first()
		assert.Equal(t, casebook.NotConfirmed, m.Confirmed, "of other amounts nobody said anything")
		history, err := db.History(ctx, casebook.CaseKey{Practice: "P1", ID: id})
		require.NoError(t, err)
		assert.Contains(t, fmt.Sprint(historyTexts(history)), `"confirmed":"as measured"`)
		_, err = db.RemoveFile(ctx, FileOf("corrected").SHA256, "wrong")
		require.NoError(t, err)
		m, _ = first()
		assert.Equal(t, casebook.AsMeasured, m.Confirmed)
	}
}

// historyTexts are the values of old versions as text.
func historyTexts(history []store.Version) (out []string) {
	for _, h := range history {
		out = append(out, string(h.Value))
	}
	return out
}
