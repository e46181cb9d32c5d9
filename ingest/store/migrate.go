package store

import (
	"context"
	"embed"
	"fmt"
	"io/fs"
	"strings"
)

//go:embed migrations/*.sql
var migrationFiles embed.FS

// applicationID marks our files ("SHFT" in ASCII); see
// https://www.sqlite.org/fileformat.html#application_id.
const applicationID = 0x53484654

// migrations are the scripts in order; number i+1 brings version i to i+1.
var migrations = readMigrations()

func readMigrations() []string {
	names, err := fs.Glob(migrationFiles, "migrations/*.sql")
	if err != nil {
		panic(err)
	}
	scripts := make([]string, len(names))
	for i, name := range names {
		if !strings.HasPrefix(name, fmt.Sprintf("migrations/%04d_", i+1)) {
			panic("store: migration out of order: " + name)
		}
		b, err := migrationFiles.ReadFile(name)
		if err != nil {
			panic(err)
		}
		scripts[i] = string(b)
	}
	return scripts
}

// identify reads the schema version of a file of ours, 0 for an empty one, and
// refuses any other.
func (db *DB) identify(ctx context.Context) (int, error) {
	var id, version, objects int
	err := db.sql.QueryRowContext(ctx, `SELECT (SELECT application_id FROM pragma_application_id),
		(SELECT user_version FROM pragma_user_version), (SELECT count(*) FROM sqlite_schema)`).Scan(&id, &version, &objects)
	switch {
	case err != nil:
		return 0, err
	case id == 0 && version == 0 && objects == 0:
		return 0, nil
	case id != applicationID:
		return 0, &Error{Kind: Foreign, Path: db.path, Message: "the database was made by another program", Remedy: remedies[Foreign]}
	case version > len(migrations):
		return 0, &Error{
			Kind: Newer, Path: db.path, Remedy: remedies[Newer],
			Message: fmt.Sprintf("the database has schema %d and this program knows up to %d", version, len(migrations)),
		}
	}
	return version, nil
}

// migrate applies the scripts the file lacks, each in its own transaction
// together with the version it reaches.
func (db *DB) migrate(ctx context.Context, version int) error {
	for version < len(migrations) {
		reached, err := db.step(ctx)
		if err != nil {
			return err
		}
		version = reached
	}
	return nil
}

// step applies the next script. The version is read again inside the
// transaction: another process may have migrated the file meanwhile.
func (db *DB) step(ctx context.Context) (int, error) {
	tx, err := db.sql.BeginTx(ctx, nil)
	if err != nil {
		return 0, err
	}
	defer tx.Rollback()
	var version int
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return 0, err
	}
	if version >= len(migrations) {
		return version, nil
	}
	script := migrations[version] +
		fmt.Sprintf("; PRAGMA application_id = %d; PRAGMA user_version = %d;", applicationID, version+1)
	if _, err := tx.ExecContext(ctx, script); err != nil {
		return 0, err
	}
	return version + 1, tx.Commit()
}
