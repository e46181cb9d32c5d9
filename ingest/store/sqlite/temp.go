package sqlite

import (
	"context"
	"database/sql"

	"shortfall/ingest/store/sqlstore"
)

// InMemory is how a database that is no file is named in messages.
const InMemory = "the records in memory"

// OpenTemp makes a database in memory, for an audit of spreadsheets that keeps nothing:
// the same schema with the same checks, and nothing of it on the disk. It is gone with
// Close, and with the process however that ends.
func OpenTemp(ctx context.Context) (*DB, error) {
	// The connection is the database: there is one, and it stays as long as the pool. If it
	// were ever lost, the next statement would find no table and fail.
	pool, err := sql.Open("sqlite", "file::memory:?"+settings([]string{"journal_mode(memory)", "page_size(65536)"}).Encode())
	if err != nil {
		return nil, wrap(InMemory, err)
	}
	pool.SetMaxOpenConns(1)
	db := &DB{sql: pool, path: InMemory, patience: patience}
	db.Records = sqlstore.Records{Engine: db, Brief: true}
	if err := db.prepare(ctx); err != nil {
		pool.Close()
		return nil, wrap(InMemory, err)
	}
	return db, nil
}
