package postgres

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/jackc/pgx/v5/pgconn"

	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlstore"
)

// A coordinator, as package fleet makes it, keeps the records with several servers. They
// commit one after another, so one that dies may leave a write with the others alone.
// Therefore a row says which write made it and which ended it; a write is entered for
// good before its first row is sent, and counts from the moment at which the coordinator
// itself commits, whatever the servers kept. What is left of others is swept by the next.

// recordTables are those whose rows lie with the servers.
var recordTables = []string{"cases", "courses", "movements", "repeats"}

// spread is the dialect of one write over several servers.
type spread struct {
	dialect
	write int64
	open  string // the ids of writes that were never completed, between commas
}

var _ sqlstore.Dialect = spread{}

// Delete ends the rows that count for this write.
func (d spread) Delete(table, where string) string {
	return fmt.Sprintf("UPDATE %s_kept SET ended_by = %d WHERE made_by <> ALL ('{%s}'::bigint[]) AND (ended_by IS NULL OR ended_by = ANY ('{%s}'::bigint[])) AND %s",
		table, d.write, d.open, d.open, where)
}

// Move writes the rows anew: another practice may be another server's, and
// postgres_fdw moves none, nor does it refuse to leave one where it is not looked for.
func (d spread) Move(ctx context.Context, tx *sqlstore.Tx, table string, columns []string, from, to string) error {
	list := strings.Join(columns, ", ")
	values := strings.Replace(list, "practice", "?", 1)
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("INSERT INTO %s (%s) SELECT %s FROM %s WHERE practice = ?", table, list, values, table), to, from); err != nil {
		return err
	}
	_, err := tx.ExecContext(ctx, d.Delete(table, "practice = ?"), from)
	return err
}

// enter makes the entry of a write, when its turn comes, and sweeps what earlier ones left.
func (db *DB) enter(ctx context.Context) (id int64, err error) {
	tx, err := db.turn(ctx)
	if err != nil {
		return 0, err
	}
	defer tx.Rollback()
	if err := together(ctx, tx.Conn, db.path); err != nil {
		return 0, err
	}
	if err := sweep(ctx, tx, false); err != nil {
		return 0, err
	}
	if err := tx.QueryRowContext(ctx, "INSERT INTO writes DEFAULT VALUES RETURNING id").Scan(&id); err != nil {
		return 0, err
	}
	return id, tx.Commit()
}

// beginSpread begins a write over several servers.
func (db *DB) beginSpread(ctx context.Context) (*sqlstore.Tx, error) {
	id, err := db.enter(ctx)
	if err != nil {
		return nil, err
	}
	tx, err := db.turn(ctx)
	if err != nil {
		return nil, err
	}
	d := spread{write: id}
	_, err = tx.ExecContext(ctx, "SELECT set_config('shortfall.write', ?, true)", strconv.FormatInt(id, 10))
	if err == nil {
		_, err = tx.ExecContext(ctx, "UPDATE latest SET write = ?1 WHERE write < ?1", id)
	}
	if err == nil {
		_, err = tx.ExecContext(ctx, "UPDATE writes SET done = true WHERE id = ?", id)
	}
	if err == nil {
		d.open, err = openWrites(ctx, tx)
	}
	if err != nil {
		return nil, errors.Join(err, tx.Rollback())
	}
	tx.Dialect = d
	return tx, nil
}

// Together refuses a fleet of which one part was put back from a copy. The error is a
// *store.Error, or the server's own.
func (db *DB) Together(ctx context.Context) error {
	c, err := db.sql.Conn(ctx)
	if err != nil {
		return err
	}
	defer c.Close()
	return together(ctx, c, db.path)
}

// together refuses a fleet of which one part was put back from a copy: a server that lacks
// writes that were done, or one that has seen writes which the coordinator does not know and
// would number anew. The three are asked in this order, since each only grows and a write
// is entered before it reaches a server.
func together(ctx context.Context, c *sql.Conn, path string) error {
	var done, known int64
	if err := c.QueryRowContext(ctx, "SELECT coalesce(max(id), 0) FROM writes WHERE done").Scan(&done); err != nil {
		return err
	}
	type state struct {
		name  string
		write int64
	}
	var states []state
	rows, err := c.QueryContext(ctx, "SELECT name, write FROM latest ORDER BY name")
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var s state
		if err := rows.Scan(&s.name, &s.write); err != nil {
			return err
		}
		states = append(states, s)
	}
	if err := rows.Err(); err != nil {
		return err
	}
	if err := c.QueryRowContext(ctx, "SELECT coalesce(max(id), 0) FROM writes").Scan(&known); err != nil {
		return err
	}
	for _, s := range states {
		if s.write < done || s.write > known {
			older := map[bool]string{true: "the server " + s.name, false: "the coordinator"}[s.write < done]
			return &store.Error{
				Kind: store.Damaged, Path: path, Message: older + " is in an older state than the rest of the fleet, as when it was put back from a copy",
				Remedy: "Put all servers and the coordinator back from copies of one quiet moment",
			}
		}
	}
	return nil
}

// openWrites are the ids of writes that are not done.
func openWrites(ctx context.Context, tx *sqlstore.Tx) (ids string, err error) {
	err = tx.QueryRowContext(ctx, "SELECT coalesce(string_agg(id::text, ',' ORDER BY id), '') FROM writes WHERE NOT done").Scan(&ids)
	return ids, err
}

// sweep deletes rows that count no more. Those that a write ended go when nobody reads,
// since a reader may still need them: where one does they stay, unless insist says to
// wait.
func sweep(ctx context.Context, tx *sqlstore.Tx, insist bool) error {
	open, err := openWrites(ctx, tx)
	if err != nil {
		return err
	}
	alone, err := alone(ctx, tx, insist)
	if err != nil {
		return err
	}
	for _, t := range recordTables {
		if open != "" {
			if _, err := tx.ExecContext(ctx, fmt.Sprintf("DELETE FROM %s_kept WHERE made_by = ANY ('{%s}'::bigint[])", t, open)); err != nil {
				return err
			}
		}
		if !alone {
			continue
		}
		if _, err := tx.ExecContext(ctx, fmt.Sprintf("DELETE FROM %s_kept WHERE ended_by IS NOT NULL AND ended_by <> ALL ('{%s}'::bigint[])", t, open)); err != nil {
			return err
		}
	}
	return nil
}

// alone makes sure, until the end of the transaction, that nobody reads.
func alone(ctx context.Context, tx *sqlstore.Tx, insist bool) (bool, error) {
	const lock = "LOCK TABLE reading IN ACCESS EXCLUSIVE MODE"
	if insist {
		_, err := tx.ExecContext(ctx, lock)
		return err == nil, err
	}
	if _, err := tx.ExecContext(ctx, "SAVEPOINT alone"); err != nil {
		return false, err
	}
	_, err := tx.ExecContext(ctx, lock+" NOWAIT")
	if err == nil {
		return true, nil
	}
	var reported *pgconn.PgError
	if !errors.As(err, &reported) || reported.Code != lockNotAvailable {
		return false, err
	}
	_, err = tx.ExecContext(ctx, "ROLLBACK TO alone")
	return false, err
}

// lockNotAvailable is 55P03 of the appendix of error codes.
const lockNotAvailable = "55P03"

// sweepAll is sweep when all readers are done, in a transaction of its own.
func (db *DB) sweepAll(ctx context.Context) error {
	tx, err := db.turn(ctx)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if err := sweep(ctx, tx, true); err != nil {
		return err
	}
	return tx.Commit()
}
