package storetest

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

func (im Implementation) testEveryFieldAndWordRoundTrips(t *testing.T) {
	db := im.Create(t)
	b := Every()
	out := MustImport(t, db, b)
	ds := MustLoad(t, db)
	assert.Equal(t, values(b.Cases), ds.Cases)
	assert.Equal(t, values(b.Courses), ds.Courses)
	assert.ElementsMatch(t, values(b.Movements), ds.Movements)
	assert.Equal(t, values(b.Repeats), ds.Repeats)
	assert.True(t, ds.Invented)
	assert.Equal(t, store.Tally{New: len(b.Cases) + len(b.Courses) + len(b.Movements) + len(b.Repeats)}, out.Total())
}

func (im Implementation) testMissingIsNeverZero(t *testing.T) {
	db := im.Create(t)
	b := &casebook.Batch{File: FileOf("bare")}
	b.Cases = append(b.Cases, record(casebook.Case{ID: "C"}, "s", 1))
	b.Courses = append(b.Courses, record(casebook.Course{Case: casebook.CaseKey{ID: "C"}, Number: 1}, "s", 1))
	b.Movements = append(b.Movements, record(casebook.Movement{Case: casebook.CaseKey{ID: "C"}, Course: 1, Tooth: 48, Axis: casebook.Torque}, "s", 1))
	MustImport(t, db, b)
	ds := MustLoad(t, db)
	assert.Equal(t, values(b.Cases), ds.Cases)
	assert.Equal(t, values(b.Courses), ds.Courses)
	assert.Equal(t, values(b.Movements), ds.Movements)
	assert.False(t, ds.Movements[0].Achieved.OK)
	assert.False(t, ds.Movements[0].Lost.OK)
}

func (im Implementation) testLoadIsInKeyOrder(t *testing.T) {
	db := im.Create(t)
	b := &casebook.Batch{File: FileOf("order")}
	for _, id := range []string{"C-2", "C-1"} {
		for _, tooth := range []casebook.Tooth{21, 11} {
			for _, axis := range []casebook.Axis{casebook.BuccolingualShift, casebook.Rotation, casebook.Vertical} {
				b.Movements = append(b.Movements, record(casebook.Movement{Case: casebook.CaseKey{ID: id}, Course: 1, Tooth: tooth, Axis: axis}, "s", 1))
			}
		}
	}
	MustImport(t, db, b)
	var got []string
	for _, m := range MustLoad(t, db).Movements {
		got = append(got, fmt.Sprintf("%s %s %s", m.Case.ID, m.Tooth, m.Axis))
	}
	assert.Equal(t, []string{
		"C-1 11 vertical", "C-1 11 rotation", "C-1 11 buccolingual shift",
		"C-1 21 vertical", "C-1 21 rotation", "C-1 21 buccolingual shift",
		"C-2 11 vertical", "C-2 11 rotation", "C-2 11 buccolingual shift",
		"C-2 21 vertical", "C-2 21 rotation", "C-2 21 buccolingual shift",
	}, got)
}

func (im Implementation) testSameFileTwiceChangesNothing(t *testing.T) {
	db := im.Create(t)
	b := Practice("a.xlsx", 3, 10)
	first := MustImport(t, db, b)
	assert.Equal(t, store.Tally{New: 3 + 6 + 60}, first.Total())
	before := MustLoad(t, db)
	again := MustImport(t, db, b)
	assert.True(t, again.Already)
	assert.Zero(t, again.Total())
	assert.Equal(t, before, MustLoad(t, db))
}

func (im Implementation) testCorrectedRowSupersedes(t *testing.T) {
	db := im.Create(t)
	MustImport(t, db, Practice("a.xlsx", 3, 10))
	b := Practice("b.xlsx", 3, 10)
	old := b.Movements[7]
	b.Movements[7].Value.Achieved = casebook.Some(9.75)
	b.Movements[7].Original = original(9, "corrected")
	b.Cases[1].Value.Status = casebook.Discontinued
	out := MustImport(t, db, b)
	assert.Equal(t, store.Tally{Unchanged: 59, Superseded: 1}, out.Tallies[casebook.MovementKind])
	assert.Equal(t, store.Tally{Unchanged: 2, Superseded: 1}, out.Tallies[casebook.CaseKind])

	ds := MustLoad(t, db)
	assert.Len(t, ds.Movements, 60)
	assert.Contains(t, ds.Movements, b.Movements[7].Value)
	assert.NotContains(t, ds.Movements, old.Value)
	assert.Equal(t, casebook.Discontinued, ds.Cases[1].Status)
	assert.Equal(t, 6+59+2, ds.Unchanged)

	history, err := db.History(context.Background(), casebook.CaseKey{Practice: "P1", ID: old.Value.Case.ID})
	require.NoError(t, err)
	require.Len(t, history, 1)
	assert.Equal(t, casebook.MovementKind, history[0].Kind)
	assert.Equal(t, "a.xlsx", history[0].File.Name)
	assert.Equal(t, "b.xlsx", history[0].ReplacedBy.Name)
	assert.Equal(t, old.Source, history[0].Source)
	assert.Equal(t, old.Original.Cells(), history[0].Original)
	assert.Contains(t, string(history[0].Value), fmt.Sprintf(`"achieved":%v`, old.Value.Achieved.Value))
}

// A file keeps the movements that it gave until a later one corrects them.
func (im Implementation) testMovementsOfAFile(t *testing.T) {
	db := im.Create(t)
	a, b := Practice("a.xlsx", 3, 10), Practice("b.xlsx", 3, 10)
	b.Movements[7].Value.Achieved = casebook.Some(9.75)
	MustImport(t, db, a)
	MustImport(t, db, b)
	of := func(sha string) []casebook.MovementKey {
		keys, err := db.MovementsOf(context.Background(), sha)
		require.NoError(t, err)
		return keys
	}
	assert.Len(t, of(a.File.SHA256), 59)
	assert.Equal(t, []casebook.MovementKey{b.Movements[7].Value.Key()}, of(b.File.SHA256))
	assert.Empty(t, of("unknown"))
}

// A corrected value that goes back is a third version, and both stay.
func (im Implementation) testCorrectionOfACorrection(t *testing.T) {
	db := im.Create(t)
	k := casebook.CaseKey{ID: "C"}
	for i, planned := range []float64{1, 2, 1} {
		b := &casebook.Batch{File: FileOf(fmt.Sprint(i))}
		b.Movements = append(b.Movements,
			record(casebook.Movement{Case: k, Course: 1, Tooth: 11, Axis: casebook.Tip, Planned: planned}, "s", i, fmt.Sprint(planned)),
			record(casebook.Movement{Case: k, Course: 1, Tooth: 12, Axis: casebook.Tip, Planned: 5}, "s", i, "5"))
		MustImport(t, db, b)
	}
	history, err := db.History(context.Background(), k)
	require.NoError(t, err)
	require.Len(t, history, 2)
	assert.Equal(t, "1", history[0].Original[0].Text)
	assert.Equal(t, "2", history[1].Original[0].Text)
	assert.Equal(t, store.Corrected, history[1].How)
	assert.Equal(t, 1.0, MustLoad(t, db).Movements[0].Planned)
}

func (im Implementation) testCurrentTellsWhereARecordCameFrom(t *testing.T) {
	db := im.Create(t)
	b := Every()
	MustImport(t, db, b)
	list, err := db.Current(context.Background(), casebook.CaseKey{ID: "Ü-0", Practice: "P"})
	require.NoError(t, err)
	require.Len(t, list, 1+len(b.Courses)+len(b.Movements)+len(b.Repeats))
	assert.Equal(t, b.Cases[0].Source, list[0].Source)
	assert.Equal(t, b.Cases[0].Original.Cells(), list[0].Original)
	assert.Equal(t, b.File, list[0].File)
	assert.Empty(t, list[0].ReplacedBy)
}

// The record of a version is written in one form, whatever the engine writes: numbers in
// the fewest digits.
func (im Implementation) testRecordsInOneForm(t *testing.T) {
	db := im.Create(t)
	b := Practice("amounts", 1, 20)
	MustImport(t, db, b)
	b.File, b.Movements[0].Value.Achieved = FileOf("later"), casebook.Some(0.3)
	MustImport(t, db, b)
	current, err := db.Current(t.Context(), b.Cases[0].Value.Key())
	require.NoError(t, err)
	history, err := db.History(t.Context(), b.Cases[0].Value.Key())
	require.NoError(t, err)
	require.Len(t, history, 1)
	seen := 0
	for _, v := range append(current, history...) {
		var columns map[string]any
		require.NoError(t, json.Unmarshal(v.Value, &columns))
		for _, name := range []string{"planned", "achieved"} {
			if number, is := columns[name].(float64); is {
				seen++
				assert.Contains(t, string(v.Value), fmt.Sprintf("%q:%s,", name, strconv.FormatFloat(number, 'f', -1, 64)))
			}
		}
	}
	assert.Equal(t, 2*(len(b.Movements)+1), seen)
}

func (im Implementation) testMovementMayArriveBeforeItsCase(t *testing.T) {
	db := im.Create(t)
	whole := Practice("whole", 2, 4)
	MustImport(t, db, &casebook.Batch{File: FileOf("movements"), Movements: whole.Movements})
	MustImport(t, db, &casebook.Batch{File: FileOf("log"), Cases: whole.Cases})
	ds := MustLoad(t, db)
	assert.Len(t, ds.Cases, 2)
	assert.Len(t, ds.Movements, 16)
}

func (im Implementation) testRejectedRowsAndProblemsAreKept(t *testing.T) {
	db := im.Create(t)
	problem := casebook.Problem{
		Rule: "tooth-unknown", Severity: casebook.Error, File: "a.xlsx", Sheet: "movements", Cell: "C3", Row: 3,
		Column: "tooth", Class: "number", Message: "not a tooth", Remedy: "Use FDI numbers",
	}
	b := &casebook.Batch{File: FileOf("a.xlsx"), Problems: []casebook.Problem{problem, {Rule: "note", Severity: casebook.Info}}}
	b.Rejected = []casebook.Rejected{
		{Kind: casebook.MovementKind, Source: casebook.Source{Sheet: "movements", Row: 3}, Original: original(3, "C-1", "99"), Reasons: []casebook.Problem{problem}},
		{Source: casebook.Source{Sheet: "movements", Row: 4}},
	}
	b.Sheets = []casebook.SheetCounts{{Sheet: "movements", Kind: casebook.MovementKind, Counts: casebook.Counts{Read: 3, Rejected: 2, Blank: 1}}}
	out := MustImport(t, db, b)
	assert.Equal(t, 2, out.Rejected)
	assert.Equal(t, 2, out.Problems)

	rows, err := db.Rejected(context.Background())
	require.NoError(t, err)
	require.Len(t, rows, 2)
	want := b.Rejected[0]
	want.Reasons = []casebook.Problem{problem.Keep()}
	assert.Equal(t, want, rows[0].Rejected)
	assert.Equal(t, b.File, rows[0].File)
	problems, err := db.Problems(context.Background())
	require.NoError(t, err)
	assert.Equal(t, []casebook.Problem{problem.Keep(), b.Problems[1]}, problems)
	ds := MustLoad(t, db)
	assert.Equal(t, []casebook.RejectedCount{{Rule: "unknown", Rows: 1}, {Kind: casebook.MovementKind, Rule: "tooth-unknown", Rows: 1}}, ds.Rejected)
	require.Len(t, ds.Files, 1)
	assert.Equal(t, b.Sheets, ds.Files[0].Sheets)
	assert.Empty(t, ds.Words)

	word := casebook.WordRead{Column: "attachment shape", Said: "ellipse", Means: "oval", Rows: 3}
	c := Practice("words", 2, 2)
	c.Problems = []casebook.Problem{{Rule: casebook.WordsRead, Severity: casebook.Info, File: c.File.Name, Word: word}}
	MustImport(t, db, c)
	assert.Equal(t, []casebook.WordRead{word}, MustLoad(t, db).Words)
	assert.Zero(t, MustLoad(t, db).RefusedAlone)
	for i, name := range []string{"alone", "also"} {
		d := Practice(name, 2, 2)
		d.Problems = []casebook.Problem{{Rule: casebook.MovementsRefused, Severity: casebook.Info, File: d.File.Name, Count: 3 + i}}
		MustImport(t, db, d)
	}
	assert.Equal(t, 4, MustLoad(t, db).RefusedAlone, "the second file is a later version of the first")
}

func (im Implementation) testOneKeyTwiceInAFile(t *testing.T) {
	db := im.Create(t)
	b := Practice("flat", 2, 2)
	b.Cases = append(b.Cases, b.Cases[0]) // a flat sheet repeats its cases
	assert.Equal(t, store.Tally{New: 2, Unchanged: 1}, MustImport(t, db, b).Tallies[casebook.CaseKind])

	c := Practice("conflict", 2, 2)
	again := c.Movements[0]
	again.Source.Row, again.Value.Planned = 77, 5.5
	c.Movements = append(c.Movements, again)
	_, err := db.Import(context.Background(), c, store.Choices{})
	require.ErrorIs(t, err, store.ErrConflict)
	assert.ErrorContains(t, err, "sheet movements, row 77")
	assert.ErrorContains(t, err, "row 2")
	assert.Len(t, MustLoad(t, db).Files, 1, "nothing of a refused file is kept")
}

// Each of these breaks one check of the schema, or one that SQLite lacks. Nothing of any
// is left in the database that they are all given to.
func (im Implementation) testSchemaRefuses(t *testing.T) {
	db := im.Create(t)
	good := casebook.Movement{Case: casebook.CaseKey{ID: "C"}, Course: 1, Tooth: 11, Axis: casebook.Tip, Planned: 1}
	for name, change := range map[string]func(*casebook.Movement){
		"no case":           func(m *casebook.Movement) { m.Case.ID = "" },
		"course 0":          func(m *casebook.Movement) { m.Course = 0 },
		"tooth 19":          func(m *casebook.Movement) { m.Tooth = 19 },
		"tooth 51":          func(m *casebook.Movement) { m.Tooth = 51 },
		"no axis":           func(m *casebook.Movement) { m.Axis = casebook.NoAxis },
		"invalid axis":      func(m *casebook.Movement) { m.Axis = 99 },
		"invalid style":     func(m *casebook.Movement) { m.Style = 99 },
		"invalid shape":     func(m *casebook.Movement) { m.Shape = 99 },
		"planned NaN":       func(m *casebook.Movement) { m.Planned = math.NaN() },
		"achieved NaN":      func(m *casebook.Movement) { m.Achieved = casebook.Some(math.NaN()) },
		"achieved infinite": func(m *casebook.Movement) { m.Achieved = casebook.Some(math.Inf(-1)) },
		"negative size":     func(m *casebook.Movement) { m.SizeMM = casebook.Some(-1.0) },
	} {
		t.Run(name, func(t *testing.T) {
			bad := good
			change(&bad)
			bad.Course += 1 // another key than the good record's
			if name == "course 0" {
				bad.Course = 0
			}
			b := &casebook.Batch{File: FileOf(name)}
			b.Movements = append(b.Movements, record(good, "m", 2), record(bad, "m", 3))
			_, err := db.Import(context.Background(), b, store.Choices{})
			require.ErrorIs(t, err, store.ErrRefused)
			assert.ErrorContains(t, err, "sheet m, row 3")
			assert.Empty(t, MustLoad(t, db).Movements)
		})
	}
}

func (im Implementation) testCellsOutsideTheRowKeepTheirPlace(t *testing.T) {
	db := im.Create(t)
	b := Practice("one sheet a case", 1, 1)
	b.Movements[0].Source.Row = 12
	b.Movements[0].Original = casebook.OriginalOf([]casebook.Cell{
		{Ref: "B1", Header: "case", Kept: "case", Text: "C-1"},
		{Ref: "C12", Header: "planned", Kept: "planned", Text: "1,5 mm"},
		{Ref: "AB112", Header: "note\x00 ü", Kept: "note\x00 ü", Text: `"quoted" <tag>`},
		{Ref: "", Header: "sheet name", Kept: "sheet name", Text: "14"},
	})
	MustImport(t, db, b)
	list, err := db.Current(context.Background(), casebook.CaseKey{ID: "C-00000", Practice: "P1"})
	require.NoError(t, err)
	assert.Equal(t, b.Movements[0].Original.Cells(), list[3].Original)
}
