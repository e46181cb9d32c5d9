package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
)

// fileOf names a file by content; the content is the name.
func fileOf(name string) casebook.File {
	sum := sha256.Sum256([]byte(name))
	return casebook.File{Name: name, SHA256: hex.EncodeToString(sum[:]), Size: int64(len(name))}
}

// original is a row of cells like a spreadsheet's.
func original(row int, texts ...string) []casebook.Cell {
	cells := make([]casebook.Cell, len(texts))
	for i, t := range texts {
		cells[i] = casebook.Cell{Ref: fmt.Sprintf("%c%d", 'A'+i, row), Header: fmt.Sprintf("header %d", i), Kept: fmt.Sprintf("header %d", i), Text: t}
	}
	return cells
}

func record[T any](v T, sheet string, row int, texts ...string) casebook.Record[T] {
	return casebook.Record[T]{Value: v, Source: casebook.Source{Sheet: sheet, Row: row}, Original: original(row, texts...)}
}

// practice invents a batch: so many cases with two courses of so many teeth.
func practice(name string, cases, teeth int) *casebook.Batch {
	rng := rand.New(rand.NewPCG(1, uint64(cases)))
	b := &casebook.Batch{File: fileOf(name)}
	row := 2
	for c := range cases {
		id := fmt.Sprintf("C-%05d", c)
		b.Cases = append(b.Cases, record(casebook.Case{
			ID: id, Practice: "P1", Clinician: "K2", AgeBand: casebook.Age18To29, Start: casebook.NewMonth(2024, 1+c%12),
			Status: casebook.Completed, PlannedAligners: casebook.Some(20 + c%30), Wear: casebook.WearGood,
		}, "cases", 2+c, id, "P1", "18-29"))
		for course := 1; course <= 2; course++ {
			b.Courses = append(b.Courses, record(casebook.Course{Case: casebook.CaseKey{ID: id}, Number: course}, "courses", 2*c+course+1, id))
			for tooth := range teeth {
				b.Movements = append(b.Movements, invented(rng, id, course, tooth, row))
				row++
			}
		}
	}
	b.Sheets = []casebook.SheetCounts{
		{Sheet: "cases", Kind: casebook.CaseKind, Counts: casebook.Counts{Read: cases, Accepted: cases}},
		{Sheet: "courses", Kind: casebook.CourseKind, Counts: casebook.Counts{Read: 2 * cases, Accepted: 2 * cases}},
		{Sheet: "movements", Kind: casebook.MovementKind, Counts: casebook.Counts{Read: row - 2, Accepted: row - 2}},
	}
	return b
}

func invented(rng *rand.Rand, id string, course, i, row int) casebook.Record[casebook.Movement] {
	tooth := casebook.AllTeeth()[i%32]
	axis := casebook.Axes()[(i/32)%6]
	planned := math.Round(rng.Float64()*100) / 10
	m := casebook.Movement{
		Case: casebook.CaseKey{ID: id}, Course: course, Tooth: tooth, Axis: axis, Planned: planned,
		Achieved: casebook.Some(planned * 0.6), Style: casebook.Styles()[i%3], Shape: casebook.Rectangular,
		Lost: casebook.Some(i%7 == 0), Staging: casebook.Combined,
	}
	return record(m, "movements", row, id, fmt.Sprint(course), tooth.String(), axis.String(),
		fmt.Sprint(planned), fmt.Sprint(m.Achieved.Value), m.Style.String(), m.Shape.String(), "no", "combined")
}

func create(t testing.TB) *DB {
	db, err := Open(context.Background(), filepath.Join(t.TempDir(), "clinic.db"))
	require.NoError(t, err)
	t.Cleanup(func() { db.Close() })
	return db
}

func mustImport(t testing.TB, db *DB, b *casebook.Batch) Outcome {
	t.Helper()
	out, err := db.Import(context.Background(), b, Choices{})
	require.NoError(t, err)
	return out
}

func mustLoad(t testing.TB, db *DB) *casebook.Dataset {
	t.Helper()
	ds, err := db.Load(context.Background())
	require.NoError(t, err)
	return ds
}

func values[T any](records []casebook.Record[T]) []T {
	out := make([]T, len(records))
	for i, r := range records {
		out[i] = r.Value
	}
	return out
}

// every gives a batch in which every field of every kind is set and every word
// of the vocabulary occurs, so that no column or word can be forgotten.
func every() *casebook.Batch {
	b := &casebook.Batch{File: fileOf("every word"), Invented: true}
	for i := range 6 {
		b.Cases = append(b.Cases, record(casebook.Case{
			ID: fmt.Sprintf("Ü-%d", i), Practice: "P", Clinician: "K", AgeBand: casebook.AgeBands()[i],
			Start: casebook.NewMonth(2023, 12), End: casebook.NewMonth(2025, 1), Status: casebook.Statuses()[i%5],
			PlannedAligners: casebook.Some(i), ChangeDays: casebook.Some(7), Wear: casebook.Wears()[i%3],
			StatedRefinements: casebook.Some(0),
		}, "cases", i+2, "a"))
		b.Courses = append(b.Courses, record(casebook.Course{
			Case: casebook.CaseKey{ID: "Ü-0"}, Number: i + 1, Start: casebook.NewMonth(2024, 1),
			AlignersPlanned: casebook.Some(0), AlignersUsed: casebook.Some(3),
		}, "courses", i+2, "b"))
	}
	row := 2
	for _, tooth := range casebook.AllTeeth() {
		for i, axis := range casebook.Axes() {
			b.Movements = append(b.Movements, record(casebook.Movement{
				Case: casebook.CaseKey{ID: "Ü-0"}, Course: 1, Tooth: tooth, Axis: axis, Planned: -1.25, Achieved: casebook.Some(0.0),
				StatedPercent: casebook.Some(62.5), SizeOnly: i%2 == 0, Style: casebook.Styles()[i%3],
				Shape: casebook.Shapes()[i%5], Orientation: casebook.Orientations()[i%3], SizeMM: casebook.Some(3.0),
				Lost: casebook.Some(i%2 == 1), LostMonth: casebook.Some(0), Staging: casebook.Stagings()[i%2],
			}, "movements", row, "1,25 mm", "", "0"))
			row++
		}
	}
	b.Repeats = append(b.Repeats, record(casebook.Repeat{
		Case: casebook.CaseKey{ID: "Ü-0"}, Course: 1, Tooth: 11, Axis: casebook.Tip, First: 1.5, Second: -0.5,
	}, "repeats", 2, "1.5", "-0.5"))
	return b
}

func TestEveryFieldAndWordRoundTrips(t *testing.T) {
	db := create(t)
	b := every()
	out := mustImport(t, db, b)
	ds := mustLoad(t, db)
	assert.Equal(t, values(b.Cases), ds.Cases)
	assert.Equal(t, values(b.Courses), ds.Courses)
	assert.ElementsMatch(t, values(b.Movements), ds.Movements)
	assert.Equal(t, values(b.Repeats), ds.Repeats)
	assert.True(t, ds.Invented)
	assert.Equal(t, Tally{New: 6 + 6 + 192 + 1}, out.Total())
}

func TestMissingIsNeverZero(t *testing.T) {
	db := create(t)
	b := &casebook.Batch{File: fileOf("bare")}
	b.Cases = append(b.Cases, record(casebook.Case{ID: "C"}, "s", 1))
	b.Courses = append(b.Courses, record(casebook.Course{Case: casebook.CaseKey{ID: "C"}, Number: 1}, "s", 1))
	b.Movements = append(b.Movements, record(casebook.Movement{Case: casebook.CaseKey{ID: "C"}, Course: 1, Tooth: 48, Axis: casebook.Torque}, "s", 1))
	mustImport(t, db, b)
	ds := mustLoad(t, db)
	assert.Equal(t, values(b.Cases), ds.Cases)
	assert.Equal(t, values(b.Courses), ds.Courses)
	assert.Equal(t, values(b.Movements), ds.Movements)
	assert.False(t, ds.Movements[0].Achieved.OK)
	assert.False(t, ds.Movements[0].Lost.OK)
}

func TestLoadIsInKeyOrder(t *testing.T) {
	db := create(t)
	b := &casebook.Batch{File: fileOf("order")}
	for _, id := range []string{"C-2", "C-1"} {
		for _, tooth := range []casebook.Tooth{21, 11} {
			for _, axis := range []casebook.Axis{casebook.BuccolingualShift, casebook.Rotation, casebook.Vertical} {
				b.Movements = append(b.Movements, record(casebook.Movement{Case: casebook.CaseKey{ID: id}, Course: 1, Tooth: tooth, Axis: axis}, "s", 1))
			}
		}
	}
	mustImport(t, db, b)
	var got []string
	for _, m := range mustLoad(t, db).Movements {
		got = append(got, fmt.Sprintf("%s %s %s", m.Case.ID, m.Tooth, m.Axis))
	}
	assert.Equal(t, []string{
		"C-1 11 vertical", "C-1 11 rotation", "C-1 11 buccolingual shift",
		"C-1 21 vertical", "C-1 21 rotation", "C-1 21 buccolingual shift",
		"C-2 11 vertical", "C-2 11 rotation", "C-2 11 buccolingual shift",
		"C-2 21 vertical", "C-2 21 rotation", "C-2 21 buccolingual shift",
	}, got)
}

func TestSameFileTwiceChangesNothing(t *testing.T) {
	db := create(t)
	b := practice("a.xlsx", 3, 10)
	first := mustImport(t, db, b)
	assert.Equal(t, Tally{New: 3 + 6 + 60}, first.Total())
	before := mustLoad(t, db)
	again := mustImport(t, db, b)
	assert.True(t, again.Already)
	assert.Zero(t, again.Total())
	assert.Equal(t, before, mustLoad(t, db))
}

func TestCorrectedRowSupersedes(t *testing.T) {
	db := create(t)
	mustImport(t, db, practice("a.xlsx", 3, 10))
	b := practice("b.xlsx", 3, 10)
	old := b.Movements[7]
	b.Movements[7].Value.Achieved = casebook.Some(9.75)
	b.Movements[7].Original = original(9, "corrected")
	b.Cases[1].Value.Status = casebook.Discontinued
	out := mustImport(t, db, b)
	assert.Equal(t, Tally{Unchanged: 59, Superseded: 1}, out.Tallies[casebook.MovementKind])
	assert.Equal(t, Tally{Unchanged: 2, Superseded: 1}, out.Tallies[casebook.CaseKind])

	ds := mustLoad(t, db)
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
	assert.Equal(t, old.Original, history[0].Original)
	assert.Contains(t, string(history[0].Value), fmt.Sprintf(`"achieved":%v`, old.Value.Achieved.Value))
}

// A corrected value that goes back is a third version, and both stay.
func TestCorrectionOfACorrection(t *testing.T) {
	db := create(t)
	for i, planned := range []float64{1, 2, 1} {
		b := &casebook.Batch{File: fileOf(fmt.Sprint(i))}
		b.Movements = append(b.Movements, record(casebook.Movement{
			Case: casebook.CaseKey{ID: "C"}, Course: 1, Tooth: 11, Axis: casebook.Tip, Planned: planned,
		}, "s", i, fmt.Sprint(planned)))
		mustImport(t, db, b)
	}
	history, err := db.History(context.Background(), casebook.CaseKey{ID: "C"})
	require.NoError(t, err)
	require.Len(t, history, 2)
	assert.Equal(t, "1", history[0].Original[0].Text)
	assert.Equal(t, "2", history[1].Original[0].Text)
	assert.Equal(t, 1.0, mustLoad(t, db).Movements[0].Planned)
}

func TestCurrentTellsWhereARecordCameFrom(t *testing.T) {
	db := create(t)
	b := every()
	mustImport(t, db, b)
	list, err := db.Current(context.Background(), casebook.CaseKey{ID: "Ü-0", Practice: "P"})
	require.NoError(t, err)
	require.Len(t, list, 1+6+192+1)
	assert.Equal(t, b.Cases[0].Source, list[0].Source)
	assert.Equal(t, b.Cases[0].Original, list[0].Original)
	assert.Equal(t, b.File, list[0].File)
	assert.Empty(t, list[0].ReplacedBy)
}

func TestMovementMayArriveBeforeItsCase(t *testing.T) {
	db := create(t)
	whole := practice("whole", 2, 4)
	mustImport(t, db, &casebook.Batch{File: fileOf("movements"), Movements: whole.Movements})
	mustImport(t, db, &casebook.Batch{File: fileOf("log"), Cases: whole.Cases})
	ds := mustLoad(t, db)
	assert.Len(t, ds.Cases, 2)
	assert.Len(t, ds.Movements, 16)
}

func TestRejectedRowsAndProblemsAreKept(t *testing.T) {
	db := create(t)
	problem := casebook.Problem{
		Rule: "tooth-unknown", Severity: casebook.Error, File: "a.xlsx", Sheet: "movements", Cell: "C3", Row: 3,
		Column: "tooth", Class: "number", Message: "not a tooth", Remedy: "Use FDI numbers",
	}
	b := &casebook.Batch{File: fileOf("a.xlsx"), Problems: []casebook.Problem{problem, {Rule: "note", Severity: casebook.Info}}}
	b.Rejected = []casebook.Rejected{
		{Kind: casebook.MovementKind, Source: casebook.Source{Sheet: "movements", Row: 3}, Original: original(3, "C-1", "99"), Reasons: []casebook.Problem{problem}},
		{Source: casebook.Source{Sheet: "movements", Row: 4}},
	}
	b.Sheets = []casebook.SheetCounts{{Sheet: "movements", Kind: casebook.MovementKind, Counts: casebook.Counts{Read: 3, Rejected: 2, Blank: 1}}}
	out := mustImport(t, db, b)
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
	ds := mustLoad(t, db)
	assert.Equal(t, []casebook.RejectedCount{{Rule: "unknown", Rows: 1}, {Kind: casebook.MovementKind, Rule: "tooth-unknown", Rows: 1}}, ds.Rejected)
	require.Len(t, ds.Files, 1)
	assert.Equal(t, b.Sheets, ds.Files[0].Sheets)
}

func TestOneKeyTwiceInAFile(t *testing.T) {
	db := create(t)
	b := practice("flat", 2, 2)
	b.Cases = append(b.Cases, b.Cases[0]) // a flat sheet repeats its cases
	assert.Equal(t, Tally{New: 2, Unchanged: 1}, mustImport(t, db, b).Tallies[casebook.CaseKind])

	c := practice("conflict", 2, 2)
	again := c.Movements[0]
	again.Source.Row, again.Value.Planned = 77, 5.5
	c.Movements = append(c.Movements, again)
	_, err := db.Import(context.Background(), c, Choices{})
	require.ErrorIs(t, err, ErrConflict)
	assert.ErrorContains(t, err, "sheet movements, row 77")
	assert.ErrorContains(t, err, "row 2")
	assert.Len(t, mustLoad(t, db).Files, 1, "nothing of a refused file is kept")
}

// Each of these breaks one check of the schema, or one that SQLite lacks.
func TestSchemaRefuses(t *testing.T) {
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
			db := create(t)
			bad := good
			change(&bad)
			bad.Course += 1 // another key than the good record's
			if name == "course 0" {
				bad.Course = 0
			}
			b := &casebook.Batch{File: fileOf(name)}
			b.Movements = append(b.Movements, record(good, "m", 2), record(bad, "m", 3))
			_, err := db.Import(context.Background(), b, Choices{})
			require.ErrorIs(t, err, ErrRefused)
			assert.ErrorContains(t, err, "sheet m, row 3")
			assert.Empty(t, mustLoad(t, db).Movements)
		})
	}
}

// The unit is written from the axis; the check guards against other writers.
func TestUnitMustFitAxis(t *testing.T) {
	db := create(t)
	mustImport(t, db, every())
	_, err := db.sql.Exec("UPDATE movements SET unit = 'mm' WHERE axis = 'rotation'")
	require.ErrorIs(t, wrap("", err), ErrRefused)
	_, err = db.sql.Exec("UPDATE sheets SET read = 7")
	require.NoError(t, err, "no sheet in this batch")
	_, err = db.sql.Exec("INSERT INTO sheets VALUES (1, 0, 's', NULL, 3, 1, 1, 0)")
	require.ErrorIs(t, wrap("", err), ErrRefused, "counts must reconcile")
	_, err = db.sql.Exec("DELETE FROM files")
	require.ErrorIs(t, wrap("", err), ErrRefused, "foreign keys are on")
}

func TestCellsOutsideTheRowKeepTheirPlace(t *testing.T) {
	db := create(t)
	b := practice("one sheet a case", 1, 1)
	b.Movements[0].Source.Row = 12
	b.Movements[0].Original = []casebook.Cell{
		{Ref: "B1", Header: "case", Kept: "case", Text: "C-1"},
		{Ref: "C12", Header: "planned", Kept: "planned", Text: "1,5 mm"},
		{Ref: "AB112", Header: "note\x00 ü", Kept: "note\x00 ü", Text: `"quoted" <tag>`},
		{Ref: "", Header: "sheet name", Kept: "sheet name", Text: "14"},
	}
	mustImport(t, db, b)
	list, err := db.Current(context.Background(), casebook.CaseKey{ID: "C-00000", Practice: "P1"})
	require.NoError(t, err)
	assert.Equal(t, b.Movements[0].Original, list[3].Original)
}
