package sqlite

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlstore"
)

//go:embed migrations/*.sql
var migrationFiles embed.FS

// applicationID marks our files ("SHFT" in ASCII); see
// https://www.sqlite.org/fileformat.html#application_id.
const applicationID = 0x53484654

// migrations are the scripts in order; number i+1 brings version i to i+1.
var migrations = readMigrations(sqlstore.Changes())

// readMigrations puts the scripts of a file's own and the changes that it shares with
// other engines in the order of their numbers, of which none may be missing; those for
// servers alone have none.
func readMigrations(shared []sqlstore.Change) []string {
	names, err := fs.Glob(migrationFiles, "migrations/*.sql")
	if err != nil {
		panic(err)
	}
	shared = slices.DeleteFunc(slices.Clone(shared), func(c sqlstore.Change) bool { return c.Number == 0 && c.OfSQLite() == "" })
	scripts := make([]string, len(names)+len(shared))
	put := func(number int, name, script string) {
		if number < 1 || number > len(scripts) || scripts[number-1] != "" || script == "" {
			panic("sqlite: migration out of order: " + name)
		}
		scripts[number-1] = script
	}
	for _, name := range names {
		b, err := migrationFiles.ReadFile(name)
		if err != nil {
			panic(err)
		}
		number, _ := strconv.Atoi(strings.TrimPrefix(name, "migrations/")[:4])
		put(number, name, string(b))
	}
	for _, c := range shared {
		put(c.Number, fmt.Sprintf("change %d of sqlstore", c.Number), c.OfSQLite())
	}
	return scripts
}

// identify reads the schema version of a file of ours, 0 for an empty one, and
// refuses any other.
func (db *DB) identify(ctx context.Context, tx *sql.Tx) (int, error) {
	var id, version, objects int
	err := tx.QueryRowContext(ctx, `SELECT (SELECT application_id FROM pragma_application_id),
		(SELECT user_version FROM pragma_user_version), (SELECT count(*) FROM sqlite_schema)`).Scan(&id, &version, &objects)
	switch {
	case err != nil:
		return 0, err
	case id == 0 && version == 0 && objects == 0:
		return 0, nil
	case id != applicationID:
		return 0, store.New(store.Foreign, db.path, nil)
	case version > len(migrations):
		return 0, newer(db.path, version)
	}
	return version, nil
}

func newer(path string, version int) error {
	e := store.New(store.Newer, path, nil)
	e.Message = fmt.Sprintf("the database has schema %d and this program knows up to %d", version, len(migrations))
	return e
}

// upgrade brings an older database to the newest schema. A copy is made before
// anything is changed, and says as much as the new file once that is proved whole.
func (db *DB) upgrade(ctx context.Context, version int) error {
	if version == 0 || version == len(migrations) {
		return db.migrate(ctx, version)
	}
	before, err := db.countRecords(ctx, version)
	if err != nil {
		return err
	}
	backup, err := db.backUp(ctx, version)
	if err != nil {
		return err
	}
	if err := db.migrate(ctx, version); err != nil {
		return err
	}
	if version < sheetNumbers {
		if err := db.Purge(ctx); err != nil {
			return err
		}
	}
	after, err := db.countRecords(ctx, len(migrations))
	if err != nil {
		return err
	}
	if err := db.check(ctx); err != nil {
		return err
	}
	if before != after {
		e := store.New(store.Damaged, db.path, fmt.Errorf("%d records before the change of schema, %d after it", before, after))
		e.Remedy = "The database as it was is in " + backup
		return e
	}
	if err := scrubBackup(ctx, backup, version); err != nil {
		return err
	}
	db.notices = append(db.notices, fmt.Sprintf("the database was brought from schema %d to %d; as it was before, it is in %s", version, len(migrations), backup))
	return db.noteUnsettled(ctx)
}

// countRecords counts the records of every kind, current and past, which no
// change of schema alters.
func (db *DB) countRecords(ctx context.Context, version int) (n int, err error) {
	query := "SELECT (SELECT count(*) FROM cases) + (SELECT count(*) FROM courses) + (SELECT count(*) FROM movements) + (SELECT count(*) FROM repeats)"
	if version >= 2 {
		query += " + (SELECT count(*) FROM history)"
	}
	return n, db.sql.QueryRowContext(ctx, query).Scan(&n)
}

// noteUnsettled says of how many cases the migration could not tell the practice.
func (db *DB) noteUnsettled(ctx context.Context) error {
	var n int
	if err := db.sql.QueryRowContext(ctx, "SELECT count(*) FROM unsettled").Scan(&n); err != nil {
		return err
	}
	if n > 0 {
		db.notices = append(db.notices, fmt.Sprintf("%d cases were recorded under more than one practice, and nothing proves that they are different patients; they were left together (\"shortfall records --cases\" lists them)", n))
	}
	return nil
}

// migrate applies the scripts the file lacks, or makes the newest schema in an empty one, all in one transaction together
// with the version they reach, so that no other process meets a schema between
// two versions. The version is read again inside the transaction: another process
// may have migrated the file meanwhile. Foreign keys are off and checked at the
// end, since a table that others refer to may be made anew
// (https://www.sqlite.org/lang_altertable.html, section 7).
func (db *DB) migrate(ctx context.Context, version int) error {
	if version >= len(migrations) {
		return nil
	}
	if _, err := db.sql.ExecContext(ctx, "PRAGMA foreign_keys = OFF"); err != nil {
		return err
	}
	if err := db.steps(ctx); err != nil {
		return err
	}
	_, err := db.sql.ExecContext(ctx, "PRAGMA foreign_keys = ON")
	return err
}

func (db *DB) steps(ctx context.Context) error {
	tx, err := db.Begin(ctx)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	var version, broken int
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	if version >= len(migrations) {
		return nil
	}
	scripts := migrations[version:]
	if version == 0 {
		script, err := creation(ctx)
		if err != nil {
			return err
		}
		scripts = []string{script}
	}
	for _, script := range scripts {
		if _, err := tx.ExecContext(ctx, script); err != nil {
			return err
		}
	}
	mark := fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d;", applicationID, len(migrations))
	if _, err := tx.ExecContext(ctx, mark); err != nil {
		return err
	}
	if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM pragma_foreign_key_check").Scan(&broken); err != nil {
		return err
	}
	if broken > 0 {
		return store.New(store.Damaged, db.path, fmt.Errorf("%d references lead nowhere", broken))
	}
	return db.Commit(ctx, tx)
}
