package sqlstore

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
	"shortfall/ingest/values"
)

// removedCases are the cases taken out of the audit, with the reason.
func removedCases(ctx context.Context, tx *Tx) (map[casebook.CaseKey]string, error) {
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
func (db *Records) write(ctx context.Context, change func(*Tx) error) error {
	tx, err := db.Begin(ctx)
	if err != nil {
		return db.ended(ctx, err)
	}
	defer tx.Rollback()
	if err := change(tx); err != nil {
		return db.ended(ctx, err)
	}
	return db.ended(ctx, db.Commit(ctx, tx))
}

// execAll runs statements one after another with the same arguments.
func execAll(ctx context.Context, tx *Tx, args []any, statements ...string) error {
	for _, s := range statements {
		if _, err := tx.ExecContext(ctx, s, args...); err != nil {
			return err
		}
	}
	return nil
}

// notThere is the error of what the database has not; lists is the command that tells what
// it has.
func (db *Records) notThere(what, lists string) error {
	return &store.Error{Kind: store.NotThere, Path: db.Path(), Message: what, Remedy: fmt.Sprintf("\"shortfall %s\" lists what is there", lists)}
}

// RemoveCase takes a case out of the audit, now and in later imports.
func (db *Records) RemoveCase(ctx context.Context, k casebook.CaseKey, reason string) error {
	return db.write(ctx, func(tx *Tx) error {
		if err := db.mustHave(ctx, tx, k); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO removed (case_id, practice, reason) VALUES (?, ?, ?)
			ON CONFLICT (case_id, practice) DO UPDATE SET reason = excluded.reason`, k.ID, k.Practice, reason)
		return err
	})
}

func (db *Records) mustHave(ctx context.Context, tx *Tx, k casebook.CaseKey) error {
	list, err := cases(ctx, tx)
	if err != nil {
		return err
	}
	for _, c := range list {
		if c.CaseKey == k {
			return nil
		}
	}
	return db.notThere("the database has no such case", "records")
}

// RestoreCase takes a removed case back into the audit.
func (db *Records) RestoreCase(ctx context.Context, k casebook.CaseKey) error {
	return db.write(ctx, func(tx *Tx) error {
		done, err := tx.ExecContext(ctx, "DELETE FROM removed WHERE case_id = ? AND practice = ?", k.ID, k.Practice)
		if err != nil {
			return err
		}
		if n, err := done.RowsAffected(); err != nil || n > 0 {
			return err
		}
		return db.notThere("no such case was removed", "records")
	})
}

// EraseCase deletes a case with its history. What stays is a salted hash of its
// pseudonym, and of what its spellings have in common unless these tell cases of its
// practice apart, so that later imports leave it out.
func (db *Records) EraseCase(ctx context.Context, k casebook.CaseKey) error {
	const ofCase = "case_id = ? AND practice = ?"
	err := db.write(ctx, func(tx *Tx) error {
		if err := db.mustHave(ctx, tx, k); err != nil {
			return err
		}
		err := execAll(ctx, tx, []any{k.ID, k.Practice},
			tx.Delete(caseTable.name, ofCase), tx.Delete(courseTable.name, ofCase), tx.Delete(movementTable.name, ofCase), tx.Delete(repeatTable.name, ofCase),
			"DELETE FROM history WHERE "+ofCase, "DELETE FROM removed WHERE "+ofCase)
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
		marked := []string{k.ID}
		alone, err := onlySpelling(ctx, tx, k)
		if alone {
			marked = append(marked, anySpelling(k.ID))
		}
		for _, id := range marked {
			salt := make([]byte, 16)
			rand.Read(salt)
			text := hex.EncodeToString(salt)
			if err == nil {
				_, err = tx.ExecContext(ctx, "INSERT INTO erased (practice, salt, hash) VALUES (?, ?, ?)", k.Practice, text, eraseMark(text, id))
			}
		}
		return err
	})
	if err != nil {
		return err
	}
	return db.Wrap(db.Purge(ctx))
}

// onlySpelling reports that no other case of the practice has a code that differs by its
// spelling alone.
func onlySpelling(ctx context.Context, tx *Tx, k casebook.CaseKey) (bool, error) {
	alone := true
	err := each(ctx, tx, "SELECT case_id, practice FROM "+caseTable.name+" UNION SELECT case_id, practice FROM "+movementTable.name, func(scan scanner) error {
		var other casebook.CaseKey
		err := scan(&other.ID, &other.Practice)
		if other.Practice == k.Practice && other.ID != k.ID && values.Skeleton(other.ID) == values.Skeleton(k.ID) {
			alone = false
		}
		return err
	})
	return alone && values.Skeleton(k.ID) != "", err
}

// anySpelling stands for all spellings of a code where those of erased cases are marked.
func anySpelling(id string) string { return "\x00" + values.Skeleton(id) }

// scrubRejected empties the original of rejected rows that name a pseudonym.
func scrubRejected(ctx context.Context, tx *Tx, id string) error {
	var named []int64
	err := each(ctx, tx, "SELECT id, original FROM rejected ORDER BY id", func(scan scanner) error {
		var row int64
		var original string
		var texts []string
		if err := scan(&row, &original); err != nil {
			return err
		}
		err := json.Unmarshal([]byte(original), &texts)
		if slices.Contains(texts, id) {
			named = append(named, row)
		}
		return err
	})
	if err != nil || len(named) == 0 {
		return err
	}
	_, err = tx.ExecContext(ctx, "INSERT INTO layouts (file_id, cells) SELECT DISTINCT file_id, '[]' FROM rejected WHERE true ON CONFLICT DO NOTHING")
	if err != nil {
		return err
	}
	for _, row := range named {
		_, err = tx.Repeated(ctx, `UPDATE rejected SET original = '[]',
			layout_id = (SELECT l.id FROM layouts l WHERE l.file_id = rejected.file_id AND l.cells = '[]') WHERE id = ?`, row)
		if err != nil {
			return err
		}
	}
	return nil
}

// RemoveFile undoes an import: its records go to the history and what they had
// replaced or retired comes back.
func (db *Records) RemoveFile(ctx context.Context, sha256, reason string) (r store.Removal, err error) {
	err = db.write(ctx, func(tx *Tx) error {
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
func (db *Records) EraseFile(ctx context.Context, sha256 string) (r store.Removal, err error) {
	err = db.write(ctx, func(tx *Tx) error {
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
	return r, db.Wrap(db.Purge(ctx))
}
