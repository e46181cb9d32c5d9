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
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"

	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlstore"
)

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

const (
	// UsualSchema holds our tables, apart from anything else in the database.
	UsualSchema = "shortfall"
	// FirstVersion is what schema.sql makes.
	FirstVersion = 1
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
	return connect(ctx, config)
}

func connect(ctx context.Context, config *pgx.ConnConfig) (*DB, error) {
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
	if db.fleet {
		if err := db.Together(ctx); err != nil {
			return nil, err
		}
	}
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
		_, err := db.sql.ExecContext(ctx, "VACUUM history, rejected, problems, sheets, tallies, layouts, files, last_results")
		return err
	}
	_, err := db.sql.ExecContext(ctx, "VACUUM cases, courses, movements, repeats, history, rejected, problems, sheets, tallies, layouts, files, last_results")
	return err
}
