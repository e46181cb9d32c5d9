package sqlite

import (
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/hex"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// removedCases are the cases taken out of the audit, with the reason.
func removedCases(ctx context.Context, tx *sql.Tx) (map[casebook.CaseKey]string, error) {
	out := map[casebook.CaseKey]string{}
	err := each(ctx, tx, "SELECT case_id, practice, reason FROM removed", func(scan scanner) error {
		var k casebook.CaseKey
		var reason string
		err := scan(&k.ID, &k.Practice, &reason)
		out[k] = reason
		return err
	})
	return out, err
}

// write runs one change of the database in a transaction.
func (db *DB) write(ctx context.Context, change func(*sql.Tx) error) error {
	tx, err := db.begin(ctx)
	if err != nil {
		return wrap(db.path, err)
	}
	defer tx.Rollback()
	if err := change(tx); err != nil {
		return wrap(db.path, err)
	}
	return wrap(db.path, db.commit(ctx, tx))
}

// execAll runs statements one after another with the same arguments.
func execAll(ctx context.Context, tx *sql.Tx, args []any, statements ...string) error {
	for _, s := range statements {
		if _, err := tx.ExecContext(ctx, s, args...); err != nil {
			return err
		}
	}
	return nil
}

func (db *DB) notThere(what string) error {
	return &store.Error{Kind: store.NotThere, Path: db.path, Message: what, Remedy: "\"shortfall records\" lists what is there"}
}

// RemoveCase takes a case out of the audit, now and in later imports.
func (db *DB) RemoveCase(ctx context.Context, k casebook.CaseKey, reason string) error {
	return db.write(ctx, func(tx *sql.Tx) error {
		if err := db.mustHave(ctx, tx, k); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, "INSERT OR REPLACE INTO removed (case_id, practice, reason) VALUES (?, ?, ?)", k.ID, k.Practice, reason)
		return err
	})
}

func (db *DB) mustHave(ctx context.Context, tx *sql.Tx, k casebook.CaseKey) error {
	list, err := cases(ctx, tx)
	if err != nil {
		return err
	}
	for _, c := range list {
		if c.CaseKey == k {
			return nil
		}
	}
	return db.notThere("the database has no such case")
}

// RestoreCase takes a removed case back into the audit.
func (db *DB) RestoreCase(ctx context.Context, k casebook.CaseKey) error {
	return db.write(ctx, func(tx *sql.Tx) error {
		done, err := tx.ExecContext(ctx, "DELETE FROM removed WHERE case_id = ? AND practice = ?", k.ID, k.Practice)
		if err != nil {
			return err
		}
		if n, err := done.RowsAffected(); err != nil || n > 0 {
			return err
		}
		return db.notThere("no such case was removed")
	})
}

// EraseCase deletes a case with its history. What stays is a salted hash of its
// pseudonym, so that later imports leave it out.
func (db *DB) EraseCase(ctx context.Context, k casebook.CaseKey) error {
	salt := make([]byte, 16)
	rand.Read(salt)
	err := db.write(ctx, func(tx *sql.Tx) error {
		if err := db.mustHave(ctx, tx, k); err != nil {
			return err
		}
		err := execAll(ctx, tx, []any{k.ID, k.Practice},
			"DELETE FROM cases WHERE case_id = ? AND practice = ?", "DELETE FROM courses WHERE case_id = ? AND practice = ?",
			"DELETE FROM movements WHERE case_id = ? AND practice = ?", "DELETE FROM repeats WHERE case_id = ? AND practice = ?",
			"DELETE FROM history WHERE case_id = ? AND practice = ?", "DELETE FROM removed WHERE case_id = ? AND practice = ?")
		if err != nil {
			return err
		}
		// Of rejected rows what parsed stays, and that may be the pseudonym; which
		// practice such a row is about is not known, so its text goes in any case.
		if err := scrubRejected(ctx, tx, k.ID); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, "DELETE FROM unsettled WHERE case_id = ?", k.ID); err != nil {
			return err
		}
		text := hex.EncodeToString(salt)
		_, err = tx.ExecContext(ctx, "INSERT INTO erased (practice, salt, hash) VALUES (?, ?, ?)", k.Practice, text, eraseMark(text, k.ID))
		return err
	})
	if err != nil {
		return err
	}
	return db.vacuum(ctx)
}

// scrubRejected empties the original of rejected rows that name a pseudonym.
func scrubRejected(ctx context.Context, tx *sql.Tx, id string) error {
	_, err := tx.ExecContext(ctx, `INSERT OR IGNORE INTO layouts (file_id, cells) SELECT DISTINCT file_id, '[]' FROM rejected`)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `UPDATE rejected SET original = '[]',
		layout_id = (SELECT l.id FROM layouts l WHERE l.file_id = rejected.file_id AND l.cells = '[]')
		WHERE EXISTS (SELECT 1 FROM json_each(rejected.original) WHERE value = ?)`, id)
	return err
}

// vacuum rewrites the file without what was deleted.
func (db *DB) vacuum(ctx context.Context) error {
	_, err := db.sql.ExecContext(ctx, "VACUUM")
	return wrap(db.path, err)
}

// RemoveFile undoes an import: its records go to the history and what they had
// replaced or retired comes back.
func (db *DB) RemoveFile(ctx context.Context, sha256, reason string) (r store.Removal, err error) {
	err = db.write(ctx, func(tx *sql.Tx) error {
		id, err := db.removable(ctx, tx, sha256)
		if err != nil {
			return err
		}
		r, err = undo(ctx, tx, id)
		if err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, "UPDATE files SET removed = ? WHERE id = ?", reason, id)
		return err
	})
	return r, err
}

// EraseFile undoes an import and deletes what came from it.
func (db *DB) EraseFile(ctx context.Context, sha256 string) (r store.Removal, err error) {
	err = db.write(ctx, func(tx *sql.Tx) error {
		id, err := db.removable(ctx, tx, sha256)
		if err != nil {
			return err
		}
		if r, err = undo(ctx, tx, id); err != nil {
			return err
		}
		return execAll(ctx, tx, []any{id},
			"DELETE FROM history WHERE file_id = ?", "DELETE FROM rejected WHERE file_id = ?", "DELETE FROM problems WHERE file_id = ?",
			"DELETE FROM sheets WHERE file_id = ?", "DELETE FROM tallies WHERE file_id = ?",
			"DELETE FROM layouts WHERE file_id = ?", "DELETE FROM files WHERE id = ?")
	})
	if err != nil {
		return r, err
	}
	return r, db.vacuum(ctx)
}
