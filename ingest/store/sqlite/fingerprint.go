package sqlite

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
)

// Fingerprint is the SHA-256 of every page of the database as of one moment, that of
// its file while nobody writes: it differs once anything in it does. The pages are
// read through SQLite (https://www.sqlite.org/dbpage.html) and not from the file, since
// closing a file of its own would take the locks of the whole process from it
// (https://www.sqlite.org/howtocorrupt.html, section 2.2).
func (db *DB) Fingerprint(ctx context.Context) (string, error) {
	sum, err := db.fingerprint(ctx)
	return sum, db.Wrap(err)
}

func (db *DB) fingerprint(ctx context.Context) (string, error) {
	tx, err := db.read(ctx)
	if err != nil {
		return "", err
	}
	defer tx.Rollback()
	rows, err := tx.QueryContext(ctx, "SELECT data FROM sqlite_dbpage")
	if err != nil {
		return "", err
	}
	defer rows.Close()
	h := sha256.New()
	for rows.Next() {
		var page sql.RawBytes
		if err := rows.Scan(&page); err != nil {
			return "", err
		}
		h.Write(page)
	}
	return hex.EncodeToString(h.Sum(nil)), rows.Err()
}
