package postgres

import (
	"context"
	"database/sql"
	"errors"
	"strings"
)

// seenBy tells what a role sees apart from the records themselves, whose mark comes first:
// as whom it logged in and acts, and by which policies. Who is a member of which practice
// changes the mark.
const seenBy = `SELECT concat_ws(' ', mark(), session_user, current_user, row_security_active('files'),
	(SELECT md5(coalesce(string_agg(p::text, ' ' ORDER BY p.tablename, p.policyname), '')) FROM pg_policies p WHERE p.schemaname = current_schema()))`

// Fingerprint tells the state of the records, as this role sees them, from any other: it
// differs once a transaction, of whatever program, has changed a row that an audit reads,
// here or on a server of the fleet.
func (db *DB) Fingerprint(ctx context.Context) (string, error) {
	state, err := db.fingerprint(ctx)
	return state, db.Wrap(err)
}

func (db *DB) fingerprint(ctx context.Context) (state string, err error) {
	tx, err := db.Read(ctx)
	if err != nil {
		return "", err
	}
	defer tx.Rollback()
	if err := tx.QueryRowContext(ctx, seenBy).Scan(&state); err != nil || !db.fleet {
		return state, err
	}
	var shares string
	err = tx.QueryRowContext(ctx, "SELECT string_agg(name || ' ' || mark, ' ' ORDER BY name) FROM latest").Scan(&shares)
	return state + " " + shares, err
}

// KeptResults gives what KeepResults kept under a key for the role that asks, and the day
// on which that was; nil where there is nothing.
func (db *DB) KeptResults(ctx context.Context, key string) (kept []byte, day string, err error) {
	err = db.sql.QueryRowContext(ctx, "SELECT kept_on, kept FROM kept_results($1)", key).Scan(&day, &kept)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, "", nil
	}
	return kept, day, db.Wrap(err)
}

// KeepResults keeps the results of an audit of the records of a fingerprint under a key of
// 64 hexadecimal digits, for the role that asks alone, until any record changes. They are
// not kept, without an error, where the role may not import or the records are others now.
func (db *DB) KeepResults(ctx context.Context, state, key, day string, results []byte) error {
	mark, _, _ := strings.Cut(state, " ")
	_, err := db.sql.ExecContext(ctx, "SELECT keep_results($1::uuid, $2, $3, $4)", mark, key, day, results)
	return db.Wrap(err)
}
