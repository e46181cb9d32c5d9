// Package sqlstore keeps records in a database that speaks SQL: which statements
// an import, a removal or an audit runs, and how a record becomes a row.
//
// Place in the pipeline: store decides what becomes of the records; this package
// says it in SQL; an Engine, such as store/sqlite or store/postgres, opens the
// database and knows what its SQL has of its own. The schema, with its checks, is
// the engine's. Nobody else writes SQL.
package sqlstore

import (
	"context"
	"database/sql"
	"errors"

	"shortfall/ingest/store"
)

// Engine is one database that is open.
type Engine interface {
	// Path of the database as it was given, for messages: without a password.
	Path() string
	// Begin begins a transaction of writing when its turn comes; writers run one
	// after another. Commit ends it.
	Begin(ctx context.Context) (*Tx, error)
	Commit(ctx context.Context, tx *Tx) error
	// Read begins a transaction that sees the database as of one moment.
	Read(ctx context.Context) (*Tx, error)
	// Purge makes sure that deleted rows are gone from the disk too, where the
	// engine can.
	Purge(ctx context.Context) error
	// Wrap turns what the database reports into a *store.Error; a *store.Error and
	// the end of a context pass through.
	Wrap(err error) error
}

// Dialect is what the SQL of an engine has of its own. Everything else is written
// in what SQLite and PostgreSQL share, with "?" for its arguments.
type Dialect interface {
	// Statement rewrites a statement for the engine.
	Statement(query string) string
	// Args turns arguments into what the driver takes.
	Args(args []any) []any
	// Object is an expression that makes a JSON object, as text, of columns of a
	// row; row is the name of the table or its alias in the statement.
	Object(row string, columns []string) string
	// Field is an expression that reads a column of a table back out of such an
	// object.
	Field(table, column, object string) string
	// WithPractice is an expression for the object with another practice.
	WithPractice(object, practice string) string
	// Insert writes rows, whose columns follow one another in args. A refused row
	// undoes all of them and not the transaction.
	Insert(ctx context.Context, tx *Tx, table string, columns []string, args []any) error
	// RowsAtOnce is how many rows one Insert takes best.
	RowsAtOnce() int
	// Run runs statements that come often, one after another.
	Run(ctx context.Context, tx *Tx, calls []Call) error
	// Delete is a statement that takes current records out of their table.
	Delete(table, where string) string
	// Move gives the current records of one practice to another; columns are all of
	// the table.
	Move(ctx context.Context, tx *Tx, table string, columns []string, from, to string) error
}

// Call is a statement with its arguments.
type Call struct {
	Query string
	Args  []any
}

// InPlace is the part of a Dialect of an engine that deletes and changes rows where
// they are.
type InPlace struct{}

// Delete deletes.
func (InPlace) Delete(table, where string) string { return "DELETE FROM " + table + " WHERE " + where }

// Move changes the practice of the rows.
func (InPlace) Move(ctx context.Context, tx *Tx, table string, _ []string, from, to string) error {
	_, err := tx.ExecContext(ctx, "UPDATE "+table+" SET practice = ? WHERE practice = ?", to, from)
	return err
}

// Records is store.Store over an engine, but for what concerns its opening and
// closing.
type Records struct {
	Engine
	// Brief keeps of the rows as they came nothing but where they stood: where nobody can
	// ask for them, since the database is gone with the process that made it.
	Brief bool
}

// Tx is a transaction that speaks the dialect of its engine.
type Tx struct {
	*sql.Tx
	Dialect
	// Conn is the connection that the transaction runs on, where the engine needs it.
	Conn     *sql.Conn
	prepared map[string]*sql.Stmt
}

// ExecContext runs a statement.
func (tx *Tx) ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error) {
	return tx.Tx.ExecContext(ctx, tx.Statement(query), tx.Args(args)...)
}

// QueryContext runs a query.
func (tx *Tx) QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error) {
	return tx.Tx.QueryContext(ctx, tx.Statement(query), tx.Args(args)...)
}

// QueryRowContext runs a query for one row.
func (tx *Tx) QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row {
	return tx.Tx.QueryRowContext(ctx, tx.Statement(query), tx.Args(args)...)
}

// Repeated runs a statement that comes often in one transaction: it is prepared
// once and lives as long as the transaction.
func (tx *Tx) Repeated(ctx context.Context, query string, args ...any) (sql.Result, error) {
	s, ok := tx.prepared[query]
	if !ok {
		var err error
		if s, err = tx.PrepareContext(ctx, tx.Statement(query)); err != nil {
			return nil, err
		}
		if tx.prepared == nil {
			tx.prepared = map[string]*sql.Stmt{}
		}
		tx.prepared[query] = s
	}
	return s.ExecContext(ctx, tx.Args(args)...)
}

// Prepared reports whether a statement was prepared for Repeated, and how many were.
func (tx *Tx) Prepared(query string) (ready bool, all int) {
	_, ready = tx.prepared[query]
	return ready, len(tx.prepared)
}

// ended gives the end of the context as the reason of an error that came with it:
// database/sql closes the statements under way then, and they may say nothing but that.
func (db *Records) ended(ctx context.Context, err error) error {
	if e, known := errors.AsType[*store.Error](err); err != nil && ctx.Err() != nil && (!known || e.Kind == store.Other) {
		return ctx.Err()
	}
	return db.Wrap(err)
}

// Rollback undoes the transaction, and does nothing after its end.
func (tx *Tx) Rollback() error {
	err := tx.Tx.Rollback()
	tx.release()
	return err
}

// Commit ends the transaction.
func (tx *Tx) Commit() error {
	err := tx.Tx.Commit()
	tx.release()
	return err
}

func (tx *Tx) release() {
	if tx.Conn != nil {
		tx.Conn.Close()
	}
}
