package postgres

import (
	"context"
	_ "embed"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/stdlib"

	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlstore"
)

//go:embed schema.sql
var firstSchema string

// changes bring a server one version on, each.
var changes = ofServers(sqlstore.Changes())

func ofServers(all []sqlstore.Change) []sqlstore.Change {
	return slices.DeleteFunc(slices.Clone(all), func(c sqlstore.Change) bool { return c.OfPostgres() == "" })
}

// Changes are those that bring a server on from FirstVersion, by one each.
func Changes() []sqlstore.Change { return changes }

// FirstSchema is the script that makes our tables in an empty schema, as FirstVersion has them.
func FirstSchema() string { return firstSchema }

// SchemaVersion is what this program makes and needs.
func SchemaVersion() int { return FirstVersion + len(changes) }

// upgrade is the script that brings a server from a version to the newest.
func upgrade(from int) string {
	var b strings.Builder
	for _, c := range changes[from-FirstVersion:] {
		from++
		fmt.Fprintf(&b, "\n%s;\nUPDATE version SET number = %d;\n", strings.TrimSuffix(strings.TrimSpace(c.OfPostgres()), ";"), from)
	}
	return b.String()
}

// Roles is the script of an operator for who reads and who writes.
//
//go:embed roles.sql
var Roles string

// prepare makes the schema, or checks that it is ours and not newer.
func (db *DB) prepare(ctx context.Context) error {
	version, err := db.version(ctx)
	if err != nil || version == SchemaVersion() {
		return err
	}
	if version > SchemaVersion() {
		e := store.New(store.Newer, db.path, nil)
		e.Message = fmt.Sprintf("the database has schema %d and this program knows up to %d", version, SchemaVersion())
		return e
	}
	if db.fleet && version > 0 {
		return db.older(version, "Write the scripts that bring the fleet on (shortfall fleet upgrade --db ADDRESS -o FOLDER) and run them, or use the older program")
	}
	tx, err := db.Begin(ctx)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	// Another program may have made it while this one waited.
	if version, err = db.version(ctx); err != nil || version == SchemaVersion() {
		return err
	}
	if version > 0 {
		if err := run(ctx, tx, upgrade(version)); err != nil {
			if reported, ok := errors.AsType[*pgconn.PgError](err); ok && reported.Code == insufficientPrivilege {
				return db.older(version, "The owner of the tables opens it once with this program, after a copy was made (pg_dump)")
			}
			return err
		}
		return db.Commit(ctx, tx)
	}
	if _, err := tx.Tx.ExecContext(ctx, "CREATE SCHEMA IF NOT EXISTS "+db.schema); err != nil {
		return err
	}
	if err := run(ctx, tx, firstSchema+upgrade(FirstVersion)); err != nil {
		return err
	}
	return db.Commit(ctx, tx)
}

// insufficientPrivilege is what a server answers to who owns nothing (PostgreSQL 15, Appendix A).
const insufficientPrivilege = "42501"

// older is the error of a schema that this program may not, or cannot, bring up to its own.
func (db *DB) older(version int, remedy string) error {
	e := store.New(store.CannotOpen, db.path, nil)
	e.Message = fmt.Sprintf("the database has schema %d and this program needs %d", version, SchemaVersion())
	e.Remedy = remedy
	return e
}

// run runs a script, which the protocol of prepared statements would not take.
func run(ctx context.Context, tx *sqlstore.Tx, script string) error {
	return tx.Conn.Raw(func(c any) error {
		_, err := c.(*stdlib.Conn).Conn().PgConn().Exec(ctx, script).ReadAll()
		return err
	})
}

// version of the schema, 0 where there is none; tables that are not ours are refused.
func (db *DB) version(ctx context.Context) (int, error) {
	var tables, ours int
	var shard bool
	err := db.sql.QueryRowContext(ctx, `SELECT count(*), count(*) FILTER (WHERE tablename = 'version'), coalesce(bool_or(tablename = 'shard'), false), coalesce(bool_or(tablename = 'writes'), false)
		FROM pg_tables WHERE schemaname = $1`, db.schema).Scan(&tables, &ours, &shard, &db.fleet)
	if err != nil || tables == 0 {
		return 0, err
	}
	if shard {
		return 0, onlyAShard(db.path)
	}
	if ours == 0 {
		e := store.New(store.Foreign, db.path, nil)
		e.Message = "the schema " + db.schema + " holds tables that this program did not make"
		return 0, e
	}
	var version int
	return version, db.sql.QueryRowContext(ctx, "SELECT number FROM version").Scan(&version)
}
