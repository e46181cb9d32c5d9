package storetest

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// chart is a file of one case with so many movements of its first course, the
// planned amounts from a number on.
func chart(file, id string, teeth int, from float64) *casebook.Batch {
	b := &casebook.Batch{File: FileOf(file)}
	return addChart(b, id, 1, teeth, from)
}

func addChart(b *casebook.Batch, id string, course, teeth int, from float64) *casebook.Batch {
	k := casebook.CaseKey{ID: id}
	b.Cases = append(b.Cases, record(casebook.Case{ID: id, Status: casebook.Completed}, "cases", len(b.Cases)+2, id))
	for i := range teeth {
		b.Movements = append(b.Movements, record(casebook.Movement{
			Case: k, Course: course, Tooth: casebook.AllTeeth()[i], Axis: casebook.Rotation, Planned: from + float64(i)/4, Achieved: casebook.Some(1.5),
		}, "movements", len(b.Movements)+2, id))
	}
	return b
}

func movementsOf(ds *casebook.Dataset, id string) (n int) {
	for _, m := range ds.Movements {
		if m.Case.ID == id {
			n++
		}
	}
	return n
}

// A known case that comes again without one movement in common is another
// patient until somebody says otherwise.
func (im Implementation) testClash(t *testing.T) {
	db := im.Create(t)
	MustImport(t, db, chart("a", "C-1", 3, 5))
	before := MustLoad(t, db)
	_, err := db.Import(context.Background(), addChart(chart("b", "C-1", 3, 20), "C-2", 1, 3, 1), store.Choices{})
	require.ErrorIs(t, err, store.ErrClash)
	assert.ErrorContains(t, err, "sheet movements, row 2")
	assert.ErrorContains(t, err, "--correct")
	assert.NotContains(t, err.Error(), "C-1", "a pseudonym is not repeated")
	assert.Equal(t, before, MustLoad(t, db))
	shares := chart("c", "C-1", 3, 20)
	shares.Movements[1].Value.Planned = 5.25
	MustImport(t, db, shares)
}

// What is asked of a file can be answered with another practice: the first try leaves
// nothing in its records.
func (im Implementation) testAnotherPracticeAfterAll(t *testing.T) {
	db := im.Create(t)
	ctx := context.Background()
	_, err := db.Import(ctx, chart("a", "C-1", 3, 5), store.Choices{Practice: "EAST"})
	require.NoError(t, err)
	again := chart("b", "C-1", 3, 20)
	_, err = db.Import(ctx, again, store.Choices{Practice: "EAST"})
	require.ErrorIs(t, err, store.ErrClash)
	assert.True(t, store.LeavesOpen(again))
	_, err = db.Import(ctx, again, store.Choices{Practice: "WEST"})
	require.NoError(t, err)
	practices := map[string]int{}
	for _, m := range MustLoad(t, db).Movements {
		practices[m.Case.Practice]++
	}
	assert.Equal(t, map[string]int{"EAST": 3, "WEST": 3}, practices)
}

// A code that stands in another spelling is asked about before one patient counts twice;
// where spelling tells cases apart already it is not.
func (im Implementation) testSpellings(t *testing.T) {
	db := im.Create(t)
	ctx := context.Background()
	MustImport(t, db, chart("log", "#007", 3, 5))
	list := func(ids ...string) *casebook.Batch {
		b := &casebook.Batch{File: FileOf("list")}
		for i, id := range ids {
			b.Cases = append(b.Cases, record(casebook.Case{ID: id, Status: casebook.Completed, Clinician: "K9"}, "list", i+2, id))
		}
		return b
	}
	before := MustLoad(t, db)
	asked := list("7", "8")
	_, err := db.Import(ctx, asked, store.Choices{})
	require.ErrorIs(t, err, store.ErrSpelling)
	assert.ErrorContains(t, err, "sheet list, row 2")
	assert.NotContains(t, said(db, err), "007", "a pseudonym is not repeated")
	assert.Equal(t, before, MustLoad(t, db))
	_, err = db.Import(ctx, asked, store.Choices{Spelling: store.SameSpelt})
	require.NoError(t, err)
	ds := MustLoad(t, db)
	require.Len(t, ds.Cases, 2)
	known := casebook.CaseKey{ID: "#007"}
	at := slices.IndexFunc(ds.Cases, func(c casebook.Case) bool { return c.Key() == known })
	require.GreaterOrEqual(t, at, 0)
	assert.Equal(t, "K9", ds.Cases[at].Clinician, "the list speaks of the case that stands")
	_, err = db.Import(ctx, addChart(chart("other", "07", 3, 40), "A-1", 1, 2, 3), store.Choices{Spelling: store.DifferentSpelt})
	require.NoError(t, err)
	assert.Equal(t, 3, movementsOf(MustLoad(t, db), "07"))
	MustImport(t, db, chart("third", "0007", 3, 60)) // #007 and 07 are two patients here
	_, err = db.Import(ctx, chart("elsewhere", "a1", 3, 80), store.Choices{Practice: "WEST"})
	require.ErrorIs(t, err, store.ErrSpelling, "the practice of A-1 is not known")
}

// A spelling is looked for in the practice of each case, and no two codes of a file become
// one patient's.
func (im Implementation) testSpellingsOfPractices(t *testing.T) {
	db := im.Create(t)
	ctx := context.Background()
	_, err := db.Import(ctx, chart("a", "007", 3, 5), store.Choices{Practice: "WEST"})
	require.NoError(t, err)
	two := addChart(chart("b", "7", 3, 20), "7", 1, 3, 5)
	two.Cases[0].Value.Practice, two.Cases[1].Value.Practice = "EAST", "WEST"
	for i := range two.Movements {
		two.Movements[i].Value.Case.Practice = two.Cases[i/3].Value.Practice
	}
	_, err = db.Import(ctx, two, store.Choices{})
	require.ErrorIs(t, err, store.ErrSpelling, "the second case of the code may be known")
	_, err = db.Import(ctx, two, store.Choices{Spelling: store.SameSpelt})
	require.NoError(t, err)
	assert.Equal(t, 3, movementsOf(MustLoad(t, db), "007"))
	assert.Equal(t, 3, movementsOf(MustLoad(t, db), "7"), "of EAST, where no 007 is known")

	both := addChart(chart("c", "#007", 3, 40), "#7", 1, 3, 60)
	_, err = im.Create(t).Import(ctx, both, store.Choices{Practice: "WEST", Spelling: store.SameSpelt})
	require.NoError(t, err, "nothing else is known there")
	db = im.Create(t)
	MustImport(t, db, chart("a", "007", 3, 5))
	_, err = db.Import(ctx, both, store.Choices{Spelling: store.SameSpelt})
	require.ErrorIs(t, err, store.ErrSpelling)
	assert.ErrorContains(t, err, "cannot both be that patient")
	assert.NotContains(t, said(db, err), "007", "a pseudonym is not repeated")
}

// An import that fails while it writes leaves the file as it was given, so that it can be
// answered in another way.
func (im Implementation) testFailedImportLeavesItsFile(t *testing.T) {
	db := im.Create(t)
	ctx := context.Background()
	styled := chart("a", "#007", 3, 5)
	styled.Movements[0].Value.Style, styled.Cases[0].Value.Clinician = casebook.ClinicianDesigned, "K1"
	_, err := db.Import(ctx, styled, store.Choices{Practice: "EAST"})
	require.NoError(t, err)
	broken := func() *casebook.Batch {
		b := chart("b", "7", 3, 5)
		b.Movements[0].Value.Achieved, b.Cases[0].Value.Status = casebook.Some(1.25), casebook.NoStatus
		b.Movements[2].Value.Course = -1 // no course, by a rule of the database
		return b
	}
	b := broken()
	_, err = db.Import(ctx, b, store.Choices{Practice: "EAST", Spelling: store.SameSpelt})
	require.ErrorIs(t, err, store.ErrRefused)
	assert.Equal(t, broken(), b)
}

func (im Implementation) testContinuingIsNoClash(t *testing.T) {
	db := im.Create(t)
	MustImport(t, db, chart("a", "C-1", 3, 5))
	next := &casebook.Batch{File: FileOf("b")}
	MustImport(t, db, addChart(next, "C-1", 2, 3, 20))
	assert.Len(t, MustLoad(t, db).Movements, 6)

	db = im.Create(t) // the other way round
	MustImport(t, db, addChart(&casebook.Batch{File: FileOf("b")}, "C-1", 2, 3, 20))
	MustImport(t, db, chart("a", "C-1", 3, 5))
	assert.Len(t, MustLoad(t, db).Movements, 6)
}

func (im Implementation) testCorrectReplacesTheCase(t *testing.T) {
	db := im.Create(t)
	MustImport(t, db, addChart(chart("a", "C-1", 5, 5), "C-2", 1, 3, 9))
	out, err := db.Import(context.Background(), chart("b", "C-1", 3, 20), store.Choices{Correct: []string{"C-1"}})
	require.NoError(t, err)
	assert.Equal(t, store.Tally{Superseded: 3, Retired: 2}, out.Tallies[casebook.MovementKind])
	assert.Equal(t, 3, movementsOf(MustLoad(t, db), "C-1"))
	assert.Equal(t, 3, movementsOf(MustLoad(t, db), "C-2"))
	history, err := db.History(context.Background(), casebook.CaseKey{ID: "C-1"})
	require.NoError(t, err)
	assert.Len(t, history, 5)
}

// The original and its pseudonymised copy are the same patients.
func (im Implementation) testTwinsAreRefused(t *testing.T) {
	db := im.Create(t)
	ctx := context.Background()
	MustImport(t, db, addChart(chart("a", "C-1", 6, 5), "C-2", 1, 6, 9))
	twin := func() *casebook.Batch { return addChart(chart("copy", "P-77", 6, 5), "P-78", 1, 6, 9) }
	_, err := db.Import(ctx, twin(), store.Choices{})
	require.ErrorIs(t, err, store.ErrTwin)
	assert.ErrorContains(t, err, "2 new cases have")
	_, err = db.Import(ctx, twin(), store.Choices{Practice: "P"})
	require.ErrorIs(t, err, store.ErrTwin, "nor under another practice")
	partly := chart("partly", "P-77", 6, 5)
	partly.Movements[0].Value.Planned = 44
	_, err = db.Import(ctx, partly, store.Choices{})
	require.NoError(t, err, "five of six alike may be chance")
	assert.Equal(t, 6, movementsOf(MustLoad(t, db), "P-77"))
	grown := addChart(chart("older", "P-80", 6, 9), "P-81", 1, 3, 70)
	addChart(grown, "P-80", 2, 4, 3)
	grown.Cases = grown.Cases[:2]
	_, err = db.Import(ctx, grown, store.Choices{})
	require.ErrorIs(t, err, store.ErrTwin, "a case that went on is still the same")
	_, err = db.Import(ctx, twin(), store.Choices{Distinct: []string{"P-77", "P-78"}})
	require.NoError(t, err)
}

// Cases of two or three movements are told by their number, and by a pseudonym
// that stands in the practice without a name.
func (im Implementation) testSlightTwins(t *testing.T) {
	ctx := context.Background()
	copied := func(prefix string, n int) *casebook.Batch {
		b := &casebook.Batch{File: FileOf(fmt.Sprint("copy ", prefix, n))}
		for i := range n {
			addChart(b, fmt.Sprint(prefix, i), 1, 2, float64(5+i))
		}
		return b
	}
	db := im.Create(t)
	MustImport(t, db, copied("C-", 6))
	_, err := db.Import(ctx, copied("P-", 6), store.Choices{})
	require.ErrorIs(t, err, store.ErrTwin)
	_, err = db.Import(ctx, copied("P-", 4), store.Choices{})
	require.NoError(t, err, "four may be chance")
	_, err = db.Import(ctx, copied("C-", 1), store.Choices{Practice: "A"})
	require.ErrorIs(t, err, store.ErrTwin, "the practice was given a name")
	assert.ErrorContains(t, err, "practice rename")

	later := im.Create(t)
	MustImport(t, later, copied("C-", 6))
	again := copied("C-", 7)
	again.Cases, again.Movements = again.Cases[1:], again.Movements[2:]
	addChart(again, "D-0", 1, 2, 5)
	out := MustImport(t, later, again)
	assert.Equal(t, []store.Renaming{{From: casebook.CaseKey{ID: "C-0"}, To: casebook.CaseKey{ID: "D-0"}}}, out.Renamed)
	assert.Len(t, MustLoad(t, later).Movements, 14)
}

// A corrected tooth leaves no record of the wrong one behind, and neither does
// a row that was taken out; what is gone stays in the history.
func (im Implementation) testLaterVersionRetires(t *testing.T) {
	db := im.Create(t)
	MustImport(t, db, addChart(chart("a", "C-1", 6, 5), "C-2", 1, 6, 9))
	later := addChart(chart("b", "C-1", 6, 5), "C-2", 1, 6, 9)
	later.Movements[0].Value.Tooth = casebook.AllTeeth()[20]
	later.Movements = later.Movements[:11]
	out := MustImport(t, db, later)
	assert.Equal(t, store.Tally{New: 1, Unchanged: 10, Retired: 2}, out.Tallies[casebook.MovementKind])
	require.Len(t, out.Earlier, 1)
	assert.Equal(t, "a", out.Earlier[0].Name)
	ds := MustLoad(t, db)
	assert.Len(t, ds.Movements, 11)
	history, err := db.History(context.Background(), casebook.CaseKey{ID: "C-1"})
	require.NoError(t, err)
	require.Len(t, history, 1)
	assert.Equal(t, store.Retired, history[0].How)
	assert.Equal(t, "b", history[0].ReplacedBy.Name)
	assert.Zero(t, ds.Superseded, "what a later version lacks is not counted as corrected")
	// A file of corrections alone retires nothing.
	short := chart("c", "C-1", 6, 5)
	short.Movements[1].Value.Achieved = casebook.Some(0.5)
	short.Movements = short.Movements[1:3]
	out = MustImport(t, db, short)
	assert.Zero(t, out.Total().Retired)
	assert.Len(t, MustLoad(t, db).Movements, 11)
}

// A case whose pseudonym was corrected does not count twice.
func (im Implementation) testCorrectedPseudonym(t *testing.T) {
	db := im.Create(t)
	MustImport(t, db, addChart(addChart(chart("a", "C-1", 6, 5), "C-2", 1, 6, 9), "C-3", 1, 6, 13))
	out := MustImport(t, db, addChart(addChart(chart("b", "C-1", 6, 5), "C-22", 1, 6, 9), "C-3", 1, 6, 13))
	assert.Equal(t, []store.Renaming{{From: casebook.CaseKey{ID: "C-2"}, To: casebook.CaseKey{ID: "C-22"}}}, out.Renamed)
	assert.Empty(t, out.Absent)
	ds := MustLoad(t, db)
	assert.Len(t, ds.Movements, 18, "as many as the workbook has")
	assert.Len(t, ds.Cases, 3)
	assert.Zero(t, movementsOf(ds, "C-2"))
}

// Cases 1 to 100 followed by 31 to 130 are no deletion of 1 to 30.
func (im Implementation) testCasesTheLaterVersionLacksStay(t *testing.T) {
	numbered := func(file string, from, to int) *casebook.Batch {
		b := &casebook.Batch{File: FileOf(file)}
		for i := from; i <= to; i++ {
			addChart(b, fmt.Sprintf("C-%03d", i), 1, 3, float64(i))
		}
		return b
	}
	db := im.Create(t)
	MustImport(t, db, numbered("a", 1, 100))
	out := MustImport(t, db, numbered("b", 31, 130))
	require.Len(t, out.Earlier, 1)
	assert.Len(t, out.Absent, 30)
	assert.Equal(t, "C-001", out.Absent[0].ID)
	assert.Len(t, MustLoad(t, db).Cases, 130)
	out, err := db.Import(context.Background(), numbered("c", 31, 131), store.Choices{Whole: true})
	require.NoError(t, err)
	assert.Empty(t, out.Absent)
	assert.Len(t, MustLoad(t, db).Cases, 101)
}

func (im Implementation) testSameBytesReadAnotherWay(t *testing.T) {
	db := im.Create(t)
	reading := func(name string, from float64) *casebook.Batch {
		b := chart("a", "C-1", 4, from)
		b.File.Reading = name
		b.Rejected = []casebook.Rejected{{Kind: casebook.MovementKind, Source: casebook.Source{Sheet: "movements", Row: 9}, Reasons: []casebook.Problem{{Rule: name}}}}
		return b
	}
	MustImport(t, db, reading("", 5))
	assert.True(t, MustImport(t, db, reading("", 5)).Already)
	second := reading("signs", -20)
	second.Movements = second.Movements[:3]
	out := MustImport(t, db, second)
	assert.False(t, out.Already)
	assert.Equal(t, store.Tally{Superseded: 3, Retired: 1}, out.Tallies[casebook.MovementKind])
	ds := MustLoad(t, db)
	assert.Equal(t, []casebook.RejectedCount{{Kind: casebook.MovementKind, Rule: "signs", Rows: 1}}, ds.Rejected)
	assert.True(t, MustImport(t, db, reading("signs", -20)).Already)
	MustImport(t, db, reading("", 5))
	assert.Len(t, MustLoad(t, db).Movements, 4, "and back")
	history, err := db.History(context.Background(), casebook.CaseKey{ID: "C-1"})
	require.NoError(t, err)
	assert.Len(t, history, 4+3)
}

func (im Implementation) testRemovedCaseStaysOut(t *testing.T) {
	db := im.Create(t)
	ctx := context.Background()
	k := casebook.CaseKey{ID: "C-1"}
	MustImport(t, db, addChart(chart("a", "C-1", 6, 5), "C-2", 1, 6, 9))
	require.NoError(t, db.RemoveCase(ctx, k, "asked by the patient"))
	require.ErrorIs(t, db.RemoveCase(ctx, casebook.CaseKey{ID: "C-9"}, ""), store.ErrNotThere)
	ds := MustLoad(t, db)
	assert.Zero(t, movementsOf(ds, "C-1"))
	assert.Len(t, ds.Cases, 1)
	out := MustImport(t, db, addChart(chart("b", "C-1", 7, 5), "C-2", 1, 6, 9))
	assert.Equal(t, []casebook.CaseKey{k}, out.Aside)
	assert.Zero(t, movementsOf(MustLoad(t, db), "C-1"), "nor by a later import")
	list, err := db.Cases(ctx)
	require.NoError(t, err)
	assert.Equal(t, casebook.Some("asked by the patient"), list[0].Removed)
	require.NoError(t, db.RestoreCase(ctx, k))
	require.ErrorIs(t, db.RestoreCase(ctx, k), store.ErrNotThere)
	assert.Equal(t, 7, movementsOf(MustLoad(t, db), "C-1"), "as the last import left it")
}

func (im Implementation) testErasedCaseIsGone(t *testing.T) {
	db := im.Create(t)
	ctx := context.Background()
	k := casebook.CaseKey{ID: "zq-erased"}
	b := addChart(chart("a", k.ID, 6, 5), "C-2", 1, 6, 9)
	b.Rejected = []casebook.Rejected{{Kind: casebook.MovementKind, Source: casebook.Source{Sheet: "m", Row: 9}, Original: original(9, k.ID, "x")}}
	MustImport(t, db, b)
	again := addChart(chart("b", k.ID, 6, 5), "C-2", 1, 6, 9)
	again.Movements[0].Value.Achieved = casebook.Some(0.25)
	MustImport(t, db, again)
	require.NoError(t, db.EraseCase(ctx, k))
	list, err := db.Cases(ctx)
	require.NoError(t, err)
	require.Len(t, list, 1)
	history, err := db.History(ctx, k)
	require.NoError(t, err)
	assert.Empty(t, history)
	rejected, err := db.Rejected(ctx)
	require.NoError(t, err)
	assert.NotContains(t, fmt.Sprint(rejected), k.ID)
	out := MustImport(t, db, addChart(chart("c", k.ID, 6, 5), "C-2", 1, 6, 9))
	assert.Equal(t, 7, out.Erased)
	assert.Len(t, MustLoad(t, db).Cases, 1, "nor by a later import")
	MustImport(t, db, addChart(chart("d", "ZQ Erased", 6, 5), "C-2", 1, 6, 9))
	assert.Len(t, MustLoad(t, db).Cases, 1, "nor in another spelling")
	if im.Bytes != nil {
		assert.NotContains(t, string(im.Bytes(t, db)), k.ID)
	}
}

func (im Implementation) testRemoveFileUndoes(t *testing.T) {
	db := im.Create(t)
	ctx := context.Background()
	MustImport(t, db, addChart(chart("a", "C-1", 6, 5), "C-2", 1, 6, 9))
	before := MustLoad(t, db)
	wrong := addChart(chart("b", "C-1", 6, 5), "C-2", 1, 6, 9)
	wrong.Movements[0].Value.Achieved = casebook.Some(9.5)
	wrong.Movements[1].Value.Tooth = casebook.AllTeeth()[25]
	addChart(wrong, "C-3", 1, 5, 17)
	MustImport(t, db, wrong)
	_, err := db.RemoveFile(ctx, FileOf("a").SHA256, "first")
	require.ErrorIs(t, err, store.ErrClash, "its records were given again")
	assert.ErrorContains(t, err, "Remove "+FileOf("b").Name+" first", "the later file is named")
	resting, err := db.RestingOn(ctx)
	require.NoError(t, err)
	assert.Equal(t, map[string][]string{FileOf("a").SHA256: {FileOf("b").Name}}, resting)
	r, err := db.RemoveFile(ctx, FileOf("b").SHA256[:12], "read with the wrong mapping")
	require.NoError(t, err)
	assert.Equal(t, store.Removal{Records: 1 + 1 + 1 + 5, Restored: 2}, r)
	gone, err := db.RemovedFiles(ctx)
	require.NoError(t, err)
	assert.Equal(t, []store.RemovedFile{{Name: FileOf("b").Name, SHA256: FileOf("b").SHA256, Reason: "read with the wrong mapping"}}, gone)
	resting, err = db.RestingOn(ctx)
	require.NoError(t, err)
	assert.Empty(t, resting, "nothing stands on the first file any more")
	after := MustLoad(t, db)
	assert.Equal(t, before, after)
	_, err = db.RemoveFile(ctx, FileOf("b").SHA256, "again")
	require.ErrorIs(t, err, store.ErrNotThere)
	assert.False(t, MustImport(t, db, wrong).Already, "a removed file can be imported again")
	r, err = db.EraseFile(ctx, FileOf("b").SHA256)
	require.NoError(t, err)
	assert.Equal(t, 8, r.Records)
	assert.Equal(t, before, MustLoad(t, db))
	r, err = db.EraseFile(ctx, FileOf("a").SHA256)
	require.NoError(t, err)
	assert.Equal(t, 14, r.Records)
	assert.Empty(t, MustLoad(t, db).Files)
}

func (im Implementation) testRenamePractice(t *testing.T) {
	db := im.Create(t)
	ctx := context.Background()
	b := addChart(chart("a", "C-1", 6, 5), "C-2", 1, 6, 9)
	MustImport(t, db, b)
	again := addChart(chart("b", "C-1", 6, 5), "C-2", 1, 6, 9)
	again.Movements[0].Value.Achieved = casebook.Some(9.5)
	MustImport(t, db, again)
	n, err := db.RenamePractice(ctx, "", "A")
	require.NoError(t, err)
	assert.Equal(t, 2, n)
	for _, m := range MustLoad(t, db).Movements {
		assert.Equal(t, "A", m.Case.Practice)
	}
	history, err := db.History(ctx, casebook.CaseKey{Practice: "A", ID: "C-1"})
	require.NoError(t, err)
	assert.Len(t, history, 1)
	_, err = db.RenamePractice(ctx, "", "A")
	require.ErrorIs(t, err, store.ErrNotThere)
	other := chart("c", "C-1", 4, 50)
	_, err = db.Import(ctx, other, store.Choices{Practice: "B"})
	require.NoError(t, err)
	_, err = db.RenamePractice(ctx, "B", "A")
	require.ErrorIs(t, err, store.ErrClash)
	assert.Equal(t, 4+6, movementsOf(MustLoad(t, db), "C-1"))
	n, err = db.RenamePractice(ctx, "B", "")
	require.NoError(t, err)
	assert.Equal(t, 1, n, "and a name can be taken away")
}

func (im Implementation) testProfiles(t *testing.T) {
	db := im.Create(t)
	ctx := context.Background()
	for _, p := range []store.Profile{profile("ffee", "b.xlsx", "\x00\x01"), profile("aabb", "a.xlsx", "x"), profile("ffee", "c.xlsx", "y")} {
		require.NoError(t, db.PutProfile(ctx, p))
	}
	list, err := db.Profiles(ctx)
	require.NoError(t, err)
	assert.Equal(t, []store.Profile{profile("aabb", "a.xlsx", "x"), profile("ffee", "c.xlsx", "y")}, list)
	require.NoError(t, db.RemoveProfile(ctx, "aa"))
	require.ErrorIs(t, db.RemoveProfile(ctx, "aa"), store.ErrNotThere)
	require.ErrorIs(t, db.RemoveProfile(ctx, ""), store.ErrNotThere)
	list, err = db.Profiles(ctx)
	require.NoError(t, err)
	assert.Len(t, list, 1)
}

func profile(header, name, content string) store.Profile {
	return store.Profile{Header: header, Name: name, Content: []byte(content)}
}

// said is a message without the path of the database, whose folder has any digits.
func said(db store.Store, err error) string {
	return strings.ReplaceAll(err.Error(), db.Path(), "")
}
