// Package postgres keeps the records of a group of practices on a PostgreSQL server.
//
// Place in the pipeline: an implementation of store.Store, by the statements of
// sqlstore, for whoever gives an address "postgres://..." where others give a file.
// The records go to that server and nowhere else. The schema, with its checks, is
// schema.sql; it lives in a schema of its own, "shortfall" or the one that the
// address names (?search_path=NAME), and its owner need own nothing else.
package postgres

import (
	"context"
	"database/sql"
	_ "embed"
	"errors"
	"fmt"
	"net"
	"net/url"
	"os"
	"regexp"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/stdlib"

	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlstore"
)

// Is tells an address of a server from the path of a file.
func Is(address string) bool {
	return strings.HasPrefix(address, "postgres://") || strings.HasPrefix(address, "postgresql://")
}

// DB is an open database. It may be used from several goroutines and from several
// machines; imports run one after another.
type DB struct {
	sqlstore.Records
	sql    *sql.DB
	path   string
	schema string // that holds our tables
	fleet  bool   // the records lie with several servers, of which this is the coordinator
}

var (
	_ store.Store     = (*DB)(nil)
	_ sqlstore.Engine = (*DB)(nil)
)

//go:embed schema.sql
var firstSchema string

// changes bring a server one version on, each.
var changes = sqlstore.Changes()

// Schema is the script that makes our tables in an empty schema.
func Schema() string { return firstSchema + upgrade(firstVersion) }

// SchemaVersion is what Schema makes.
func SchemaVersion() int { return firstVersion + len(changes) }

// upgrade is the script that brings a server from a version to the newest.
func upgrade(from int) string {
	var b strings.Builder
	for _, c := range changes[from-firstVersion:] {
		from++
		fmt.Fprintf(&b, "\n%s;\nUPDATE version SET number = %d;\n", strings.TrimSuffix(strings.TrimSpace(c.OfPostgres()), ";"), from)
	}
	return b.String()
}

// Roles is the script of an operator for who reads and who writes.
//
//go:embed roles.sql
var Roles string

const (
	// UsualSchema holds our tables, apart from anything else in the database.
	UsualSchema = "shortfall"
	// firstVersion is what schema.sql makes.
	firstVersion = 1
)

// patience is how long another writer is waited for.
var patience = 10 * time.Minute

// Open opens the database of a server, "postgres://user@host/database", and makes
// our tables where they are not there yet. Beyond this machine the connection is
// encrypted and the server's certificate is checked, unless the address says
// otherwise by sslmode. The error is a *store.Error.
func Open(ctx context.Context, address string) (*DB, error) {
	config, err := configure(address)
	if err != nil {
		return nil, err
	}
	// A connection that waited is tried first: the server may have been restarted.
	always := func(context.Context, stdlib.ShouldPingParams) bool { return true }
	db := &DB{sql: stdlib.OpenDB(*config, stdlib.OptionAfterConnect(quiet), stdlib.OptionShouldPing(always)), path: pathOf(config), schema: config.RuntimeParams["search_path"]}
	db.Records = sqlstore.Records{Engine: db}
	db.sql.SetMaxOpenConns(4)
	if err := db.prepare(ctx); err != nil {
		db.sql.Close()
		return nil, db.Wrap(err)
	}
	return db, nil
}

// pathOf names a database in messages, without who connects.
func pathOf(config *pgx.ConnConfig) string {
	return fmt.Sprintf("postgres://%s/%s", net.JoinHostPort(config.Host, fmt.Sprint(config.Port)), config.Database)
}

// plainName needs no quotes in a statement.
var plainName = regexp.MustCompile("^[a-z][a-z0-9_]{0,40}$")

func configure(address string) (*pgx.ConnConfig, error) {
	bad := func(message string, err error) error {
		return &store.Error{
			Kind: store.CannotOpen, Path: "the address of the server", Message: message, Err: err,
			Remedy: "Write postgres://user@host/database; the password goes into the file of passwords (~/.pgpass) or PGPASSWORD",
		}
	}
	u, err := url.Parse(address)
	if err != nil {
		return nil, bad("cannot be read", nil) // the error would show a password
	}
	if _, is := u.User.Password(); is || u.Query().Has("password") {
		return nil, bad("holds a password, which every program of this machine could read off the command line", nil)
	}
	if q := u.Query(); !q.Has("sslmode") && os.Getenv("PGSSLMODE") == "" && !loopback(u, q) {
		q.Set("sslmode", "verify-full")
		u.RawQuery = q.Encode()
	}
	config, err := pgx.ParseConfig(u.String())
	if err != nil {
		return nil, bad("cannot be read", err)
	}
	if name := config.RuntimeParams["search_path"]; name == "" {
		config.RuntimeParams["search_path"] = UsualSchema
	} else if !plainName.MatchString(name) {
		return nil, bad("names a search_path that is not one plain name (a-z, 0-9 and _)", nil)
	}
	config.RuntimeParams["application_name"] = "shortfall"
	// The sums of a case are then made where its rows are.
	config.RuntimeParams["enable_partitionwise_aggregate"] = "on"
	config.RuntimeParams["enable_partitionwise_join"] = "on"
	return config, nil
}

// loopback tells whether a connection stays on this machine.
func loopback(u *url.URL, q url.Values) bool {
	host := u.Hostname()
	if h := q.Get("host"); h != "" {
		host = h
	}
	ip := net.ParseIP(host)
	return host == "localhost" || strings.HasPrefix(host, "/") || ip != nil && ip.IsLoopback()
}

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
		return db.older(version, "Make a fleet by this program in another schema (shortfall fleet --schema NAME) and import the files there, or use the older program")
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
	if err := run(ctx, tx, Schema()); err != nil {
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

// Path of the database.
func (db *DB) Path() string { return db.path }

// Notices are none: nothing is migrated here yet.
func (db *DB) Notices() []string { return nil }

// Close closes the connections.
func (db *DB) Close() error { return db.sql.Close() }

// Begin begins a transaction of writing when its turn comes.
func (db *DB) Begin(ctx context.Context) (*sqlstore.Tx, error) {
	if db.fleet {
		return db.beginSpread(ctx)
	}
	return db.turn(ctx)
}

// turn begins a transaction when no other writes.
func (db *DB) turn(ctx context.Context) (*sqlstore.Tx, error) {
	tx, err := db.on(ctx, nil)
	if err != nil {
		return nil, err
	}
	_, err = tx.Tx.ExecContext(ctx, fmt.Sprintf("SET LOCAL lock_timeout = %d", patience.Milliseconds()))
	if err == nil {
		_, err = tx.Tx.ExecContext(ctx, "SELECT pg_advisory_xact_lock(hashtextextended('shortfall ' || $1, 0))", db.schema)
	}
	if err != nil {
		return nil, errors.Join(err, tx.Rollback())
	}
	return tx, nil
}

// Read begins a transaction that sees the database as of one moment.
func (db *DB) Read(ctx context.Context) (*sqlstore.Tx, error) {
	tx, err := db.on(ctx, &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true})
	if err != nil || !db.fleet {
		return tx, err
	}
	// First of all, before a moment is chosen: see sweep.
	if _, err := tx.Tx.ExecContext(ctx, "LOCK TABLE reading IN ACCESS SHARE MODE"); err != nil {
		return nil, errors.Join(err, tx.Rollback())
	}
	return tx, nil
}

// on begins a transaction on a connection of its own, which COPY needs.
func (db *DB) on(ctx context.Context, o *sql.TxOptions) (*sqlstore.Tx, error) {
	conn, err := db.sql.Conn(ctx)
	if err != nil {
		return nil, err
	}
	tx, err := conn.BeginTx(ctx, o)
	if err != nil {
		return nil, errors.Join(err, conn.Close())
	}
	return &sqlstore.Tx{Tx: tx, Dialect: dialect{}, Conn: conn}, nil
}

// Commit ends a transaction.
func (db *DB) Commit(_ context.Context, tx *sqlstore.Tx) error {
	err := tx.Commit()
	if err != nil && lost(err) && !errors.Is(err, sql.ErrTxDone) {
		e := store.New(store.CannotOpen, db.path, nil)
		e.Message = "the connection to the server was lost while it was to commit, so that it is not known whether it did"
		e.Remedy = "Run the same command again: what was kept is recognised"
		return e
	}
	return err
}

// Purge frees the room of deleted rows. What stays of them in the server's log and
// in its backups is the operator's to keep or to delete. The servers of a fleet free the
// room in their own time (autovacuum).
func (db *DB) Purge(ctx context.Context) error {
	if db.fleet {
		if err := db.sweepAll(ctx); err != nil {
			return err
		}
		_, err := db.sql.ExecContext(ctx, "VACUUM history, rejected, problems, sheets, tallies, layouts, files")
		return err
	}
	_, err := db.sql.ExecContext(ctx, "VACUUM cases, courses, movements, repeats, history, rejected, problems, sheets, tallies, layouts, files")
	return err
}
