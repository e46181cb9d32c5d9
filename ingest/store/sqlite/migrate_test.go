package sqlite

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlstore"
	"shortfall/ingest/store/storetest"
)

// twoPractices is a database of version 3, which knew a case by its pseudonym
// alone, after a list of practice A and one of practice B were imported.
//
// C: B overwrote one movement of A and added one; no plan is the same.
// D: the second file corrects an outcome of the first under another code.
// E: the two files have no movement in common; nothing is proved.
// F: in one practice only.
func twoPractices(t *testing.T) string {
	path := filepath.Join(t.TempDir(), "old.db")
	old := atVersion(t, path, 3)
	move := func(id string, tooth int, planned, achieved string, file int) string {
		return fmt.Sprintf(`INSERT INTO movements (case_id, course, tooth, axis, unit, planned, achieved, size_only, file_id, sheet, row, layout_id, original)
			VALUES ('%s', 1, %d, 'rotation', 'deg', %s, %s, 0, %d, 's', 2, %d, '["zqsecret"]');`, id, tooth, planned, achieved, file, file)
	}
	was := func(id string, tooth int, planned, achieved string) string {
		return fmt.Sprintf(`INSERT INTO history (kind, case_id, value, file_id, sheet, row, layout_id, original, replaced_by)
			VALUES ('movement', '%s', '{"case_id":"%s","course":1,"tooth":%d,"axis":"rotation","planned":%s,"achieved":%s,"stated_percent":null,"size_only":0,"style":"none","shape":null,"orientation":null,"size_mm":null,"lost":null,"lost_month":null,"staging":null,"unit":"deg"}',
			1, 's', 2, 1, '["zqsecret"]', 2);`, id, id, tooth, planned, achieved)
	}
	script := `INSERT INTO files VALUES (1, 'a', '` + storetest.FileOf("a").SHA256 + `', 3, 0), (2, 'b', '` + storetest.FileOf("b").SHA256 + `', 3, 0), (3, 'c', '` + storetest.FileOf("c").SHA256 + `', 3, 0);
		INSERT INTO layouts VALUES (1, 1, '[["A","zqheader"]]'), (2, 2, '[["B","zqheader"]]'), (3, 3, '[["A","zqheader"],["B","zqheader"]]'), (4, 3, '[]');
		INSERT INTO rejected VALUES (1, 'movement', 'tooth-unknown', '[{"rule":"tooth-unknown","severity":"error","file":"a","cell":"C3","message":"zqmessage","remedy":"zqremedy","column":"zqheader"}]', 1, 's', 3, 1, '["zqsecret"]');
		INSERT INTO rejected VALUES (2, NULL, 'unknown', 'null', 1, 's', 4, 1, '["zqsecret"]');
		INSERT INTO problems VALUES (1, 0, 'tooth-unknown', 'error', '{"rule":"tooth-unknown","severity":"error","file":"a","message":"zqmessage","remedy":"zqremedy","column":"zqheader"}');`
	for _, id := range []string{"C", "D", "E"} {
		script += `INSERT INTO cases (case_id, practice, wear, file_id, sheet, row, layout_id, original) VALUES ('` + id + `', 'B', 'good', 2, 's', 2, 2, '["zqsecret"]');
			INSERT INTO history (kind, case_id, value, file_id, sheet, row, layout_id, original, replaced_by)
			VALUES ('case', '` + id + `', '{"case_id":"` + id + `","practice":"A","wear":"poor"}', 1, 's', 2, 1, '["zqsecret"]', 2);`
	}
	script += `INSERT INTO cases (case_id, practice, file_id, sheet, row, layout_id, original) VALUES ('F', NULL, 1, 's', 3, 1, '[]');` +
		was("C", 11, "1", "0.5") + move("C", 11, "9", "8", 2) + move("C", 12, "2", "2", 1) + move("C", 13, "3", "3", 3) +
		was("D", 11, "4", "1") + move("D", 11, "4", "3", 2) + move("D", 12, "5", "5", 1) +
		move("E", 11, "6", "6", 1) + move("E", 12, "7", "7", 2) + move("F", 11, "8", "8", 3)
	_, err := old.Exec(script)
	require.NoError(t, err)
	require.NoError(t, old.Close())
	return path
}

func TestMigrationTellsPracticesApart(t *testing.T) {
	path := twoPractices(t)
	db, err := Open(context.Background(), path)
	require.NoError(t, err)
	defer db.Close()
	ds := storetest.MustLoad(t, db)
	got := map[string]string{}
	for _, m := range ds.Movements {
		got[fmt.Sprintf("%s %v", m.Case.ID, m.Planned)] += m.Case.Practice
	}
	assert.Equal(t, map[string]string{
		"C 1": "A", "C 9": "B", "C 2": "A", "C 3": "B", // and the overwritten movement is back
		"D 4": "B", "D 5": "B", "E 6": "B", "E 7": "B", "F 8": "",
	}, got)
	require.Len(t, ds.Cases, 5)
	assert.Equal(t, casebook.Case{ID: "C", Practice: "A", Wear: casebook.WearPoor}, ds.Cases[0])
	history, err := db.History(context.Background(), casebook.CaseKey{Practice: "A", ID: "C"})
	require.NoError(t, err)
	assert.Empty(t, history)
	history, err = db.History(context.Background(), casebook.CaseKey{Practice: "B", ID: "D"})
	require.NoError(t, err)
	assert.Len(t, history, 2, "the corrected movement and case stay in the history of one patient")
	list, err := db.Cases(context.Background())
	require.NoError(t, err)
	for _, c := range list {
		assert.Equal(t, c.ID == "D" || c.ID == "E", c.Unsettled != "", c.ID)
	}
	require.Len(t, db.Notices(), 2)
	assert.Contains(t, db.Notices()[1], "2 cases were recorded under more than one practice")
}

// Shapes of older databases, and of the history in them, have the words of today.
func TestMigrationRenamesShapes(t *testing.T) {
	path := filepath.Join(t.TempDir(), "old.db")
	old := atVersion(t, path, 6)
	script := `INSERT INTO files VALUES (1, 'a', '` + storetest.FileOf("a").SHA256 + `', 3, 0, '', NULL), (2, 'b', '` + storetest.FileOf("b").SHA256 + `', 3, 0, '', NULL);
		INSERT INTO layouts VALUES (1, 1, '[]'), (2, 2, '[]');`
	was := []string{"'rectangular'", "'bevelled'", "'ellipsoid'", "'hemisphere'", "'other'", "NULL"}
	for i, shape := range was {
		script += fmt.Sprintf(`INSERT INTO movements (case_id, practice, course, tooth, axis, unit, planned, achieved, size_only, shape, file_id, sheet, row, layout_id, original)
			VALUES ('C', 'A', 1, %d, 'rotation', 'deg', 5, 4, 0, %s, 2, 's', 2, 2, '[]');
			INSERT INTO history (kind, case_id, practice, value, file_id, sheet, row, layout_id, original, how, replaced_by)
			VALUES ('movement', 'C', 'A', json_object('course', 1, 'tooth', %d, 'axis', 'rotation', 'planned', 5, 'achieved', 3, 'stated_percent', null, 'size_only', 0, 'style', 'none',
				'shape', %s, 'orientation', null, 'size_mm', null, 'lost', null, 'lost_month', null, 'staging', null, 'unit', 'deg'), 1, 's', 2, 1, '[]', 'corrected', 2);`, 11+i, shape, 11+i, shape)
	}
	_, err := old.Exec(script)
	require.NoError(t, err)
	require.NoError(t, old.Close())
	db, err := Open(context.Background(), path)
	require.NoError(t, err)
	defer db.Close()
	want := []casebook.Shape{casebook.Block, casebook.Wedge, casebook.Oval, casebook.Dome, casebook.OtherShape, casebook.NoShape}
	var now, before []casebook.Shape
	for _, m := range storetest.MustLoad(t, db).Movements {
		now = append(now, m.Shape)
	}
	assert.Equal(t, want, now)
	history, err := db.History(context.Background(), casebook.CaseKey{Practice: "A", ID: "C"})
	require.NoError(t, err)
	for _, h := range history {
		var value struct{ Shape casebook.Shape }
		require.NoError(t, json.Unmarshal(h.Value, &value))
		before = append(before, value.Shape)
	}
	assert.ElementsMatch(t, want, before)
}

// Names of sheets that older versions kept are numbers, wherever they stood and in the
// copy; those of our own layout stay.
func TestMigrationForgetsNamesOfSheets(t *testing.T) {
	path := filepath.Join(t.TempDir(), "old.db")
	old := atVersion(t, path, 9)
	hash := storetest.FileOf("a").SHA256
	_, err := old.Exec(`INSERT INTO files VALUES (1, 'a', '` + hash + `', 3, 0, '', NULL);
		INSERT INTO sheets VALUES (1, 0, 'movements', 'movement', 1, 1, 0, 0), (1, 1, 'zq Novak', 'movement', 2, 1, 1, 0);
		INSERT INTO layouts VALUES (1, 1, '[]');
		INSERT INTO movements (case_id, practice, course, tooth, axis, unit, planned, size_only, file_id, sheet, row, layout_id, original)
			VALUES ('C', 'A', 1, 11, 'rotation', 'deg', 5, 0, 1, 'movements', 2, 1, '[]'), ('C', 'A', 1, 12, 'rotation', 'deg', 5, 0, 1, 'zq Novak', 2, 1, '[]');
		INSERT INTO rejected (kind, rule, reasons, file_id, sheet, row, layout_id, original)
			VALUES ('movement', 'tooth-unknown', '[{"rule":"tooth-unknown","sheet":"zq Novak","cell":"C3"}]', 1, 'zq Novak', 3, 1, '[]');
		INSERT INTO problems VALUES (1, 0, 'tooth-unknown', 'error', '{"rule":"tooth-unknown","sheet":"zq Novak","cell":"C3"}'), (1, 1, 'note', 'info', '{"rule":"note"}');`)
	require.NoError(t, err)
	require.NoError(t, old.Close())
	db, err := Open(context.Background(), path)
	require.NoError(t, err)
	list, err := db.Current(context.Background(), casebook.CaseKey{Practice: "A", ID: "C"})
	require.NoError(t, err)
	require.Len(t, list, 2)
	assert.Equal(t, []string{"movements", "number 2"}, []string{list[0].Source.Sheet, list[1].Source.Sheet})
	rejected, err := db.Rejected(context.Background())
	require.NoError(t, err)
	assert.Equal(t, "number 2", rejected[0].Reasons[0].Sheet)
	assert.Equal(t, "C3", rejected[0].Reasons[0].Cell)
	problems, err := db.Problems(context.Background())
	require.NoError(t, err)
	assert.Equal(t, []string{"number 2", ""}, []string{problems[0].Sheet, problems[1].Sheet})
	files, err := db.Files(context.Background())
	require.NoError(t, err)
	assert.Equal(t, "number 2", files[0].Sheets[1].Sheet)
	require.NoError(t, db.Close())
	backups, err := filepath.Glob(filepath.Join(filepath.Dir(path), "*.backup"))
	require.NoError(t, err)
	require.Len(t, backups, 1)
	for _, p := range append(backups, path) {
		b, err := os.ReadFile(p)
		require.NoError(t, err)
		assert.False(t, strings.Contains(string(b), "zq Novak"), p)
	}
}

// What older versions kept of sheets is gone from the database and, once that
// is whole, from its copy; the copy is still a database of its version.
func TestMigrationScrubsItselfAndItsBackup(t *testing.T) {
	path := twoPractices(t)
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	require.True(t, strings.Contains(string(before), "zqsecret"))
	db, err := Open(context.Background(), path)
	require.NoError(t, err)
	rejected, err := db.Rejected(context.Background())
	require.NoError(t, err)
	require.Len(t, rejected, 2)
	assert.Equal(t, "C3", rejected[0].Reasons[0].Cell)
	require.NoError(t, db.Close())
	backups, err := filepath.Glob(filepath.Join(filepath.Dir(path), "*.backup"))
	require.NoError(t, err)
	require.Len(t, backups, 1)
	assert.Contains(t, db.Notices()[0], backups[0])
	for _, p := range append(backups, path) {
		b, err := os.ReadFile(p)
		require.NoError(t, err)
		assert.False(t, strings.Contains(string(b), "zq"), p)
	}
	info, err := os.Stat(backups[0])
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	ctx := context.Background()
	copied, err := Open(ctx, backups[0])
	require.NoError(t, err, "the copy can be used, and migrated, too")
	defer copied.Close()
	assert.Len(t, storetest.MustLoad(t, copied).Movements, 9)
}

func TestNoBackupNoMigration(t *testing.T) {
	if os.Getuid() != 0 {
		t.Skip("needs a small file system")
	}
	path := twoPractices(t)
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	small := filepath.Join(mountSmall(t, fmt.Sprintf("size=%dk", len(b)/1024+16)), "old.db")
	require.NoError(t, os.WriteFile(small, b, 0o600))
	_, err = Open(context.Background(), small)
	require.ErrorIs(t, err, store.ErrFull)
	assert.ErrorContains(t, err, "no copy of it can be made")
	after, err := os.ReadFile(small)
	require.NoError(t, err)
	assert.True(t, string(b) == string(after), "nothing was changed")
}

// Each of these would let a database from elsewhere act within an import, or
// take anything.
func TestPlantedSchemaIsRefused(t *testing.T) {
	start := filepath.Join(t.TempDir(), "clinic.db")
	db, err := Open(t.Context(), start)
	require.NoError(t, err)
	storetest.MustImport(t, db, storetest.Practice("a", 2, 2))
	require.NoError(t, db.Close())
	for name, change := range map[string]string{
		"trigger":       "CREATE TRIGGER empty AFTER INSERT ON files BEGIN DELETE FROM cases; END",
		"view":          "CREATE VIEW v AS SELECT * FROM cases",
		"table":         "CREATE TABLE more (a)",
		"index":         "CREATE INDEX i ON movements (planned)",
		"column":        "ALTER TABLE cases ADD COLUMN note TEXT",
		"missing index": "DROP INDEX history_by_case",
		"checks":        "ALTER TABLE repeats RENAME TO r; CREATE TABLE repeats (case_id, practice, course, tooth, axis, unit, first, second, file_id, sheet, row, layout_id, original); DROP TABLE r",
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "clinic.db")
			require.NoError(t, raw(start, path))
			planting, err := sql.Open("sqlite", path)
			require.NoError(t, err)
			defer planting.Close()
			_, err = planting.Exec(change)
			require.NoError(t, err)
			_, err = Open(context.Background(), path)
			require.ErrorIs(t, err, store.ErrForeign)
			assert.ErrorContains(t, err, "this program")
		})
	}
	for version := 1; version < len(migrations); version += storetest.Everyday(1, len(migrations)-2) { // the first and the last, or all
		path := filepath.Join(t.TempDir(), "old.db")
		old := atVersion(t, path, version)
		_, err := old.Exec("CREATE TRIGGER empty AFTER INSERT ON files BEGIN DELETE FROM cases; END")
		require.NoError(t, err)
		require.NoError(t, old.Close())
		_, err = Open(context.Background(), path)
		require.ErrorIs(t, err, store.ErrForeign, "version %d", version)
	}
}

func TestEmptyDatabaseIsMadePrivate(t *testing.T) {
	path := filepath.Join(t.TempDir(), "clinic.db")
	require.NoError(t, os.WriteFile(path, nil, 0o644))
	db, err := Open(context.Background(), path)
	require.NoError(t, err)
	defer db.Close()
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
}

// A movement that was replaced before amounts could be confirmed comes back without a
// word of it.
func TestHistoryFromBeforeConfirmations(t *testing.T) {
	path := filepath.Join(t.TempDir(), "old.db")
	old := atVersion(t, path, 10)
	const value = `json_object('case_id', 'C', 'practice', 'A', 'course', 1, 'tooth', 11, 'axis', 'rotation', 'planned', 5.0, 'achieved', 3.0, 'stated_percent', null, 'size_only', 0,
		'style', 'none', 'shape', null, 'orientation', null, 'size_mm', null, 'lost', null, 'lost_month', null, 'staging', null, 'measured_by', null, 'unit', 'deg')`
	_, err := old.Exec(`INSERT INTO files VALUES (1, 'a', '` + storetest.FileOf("a").SHA256 + `', 3, 0, '', NULL), (2, 'b', '` + storetest.FileOf("b").SHA256 + `', 3, 0, '', NULL);
		INSERT INTO layouts VALUES (1, 1, '[]'), (2, 2, '[]');
		INSERT INTO movements (case_id, practice, course, tooth, axis, unit, planned, achieved, size_only, file_id, sheet, row, layout_id, original)
			VALUES ('C', 'A', 1, 11, 'rotation', 'deg', 5, 60, 0, 2, 's', 2, 2, '[]');
		INSERT INTO history (kind, case_id, practice, value, file_id, sheet, row, layout_id, original, how, replaced_by)
			VALUES ('movement', 'C', 'A', ` + value + `, 1, 's', 2, 1, '[]', 'corrected', 2);`)
	require.NoError(t, err)
	require.NoError(t, old.Close())
	db, err := Open(context.Background(), path)
	require.NoError(t, err)
	defer db.Close()
	assert.Equal(t, casebook.NotConfirmed, storetest.MustLoad(t, db).Movements[0].Confirmed)
	_, err = db.RemoveFile(context.Background(), storetest.FileOf("b").SHA256, "wrong")
	require.NoError(t, err)
	back := storetest.MustLoad(t, db).Movements
	require.Len(t, back, 1)
	assert.Equal(t, casebook.Some(3.0), back[0].Achieved)
	assert.Equal(t, casebook.NotConfirmed, back[0].Confirmed)
}

// TestAChangeOfEveryEngine: a change of sqlstore brings a file on as a script of its own
// does, with a copy before it, and no number is missing or given twice.
func TestAChangeOfEveryEngine(t *testing.T) {
	db := create(t)
	storetest.MustImport(t, db, storetest.Practice("a", 2, 2))
	require.NoError(t, db.Close())
	known := migrations
	t.Cleanup(func() { migrations = known })
	next := sqlstore.Change{Number: len(known) + 1, Both: "ALTER TABLE cases ADD COLUMN seen TEXT CHECK (seen IN ('yes', 'no'))"}
	migrations = readMigrations(append(sqlstore.Changes(), next))

	db, err := Open(t.Context(), db.path)
	require.NoError(t, err)
	assert.Contains(t, strings.Join(db.Notices(), "\n"), fmt.Sprintf("brought from schema %d to %d; as it was before, it is in ", len(known), len(migrations)))
	_, err = db.sql.Exec("UPDATE cases SET seen = 'perhaps'")
	require.ErrorContains(t, err, "CHECK")
	require.NoError(t, db.Close())
	for _, number := range []int{len(known), len(known) + 2} {
		assert.Panics(t, func() { readMigrations(append(sqlstore.Changes(), sqlstore.Change{Number: number, Both: next.Both})) }, "a number twice, or one missing")
	}
	assert.Panics(t, func() {
		readMigrations(append(sqlstore.Changes(), sqlstore.Change{Number: len(known) + 1, Postgres: next.Both}))
	}, "nothing for a file")
}
