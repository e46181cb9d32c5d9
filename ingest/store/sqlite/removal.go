package sqlite

import (
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/hex"
	"fmt"
	"strings"

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

// RenamePractice moves all cases of a practice to another.
func (db *DB) RenamePractice(ctx context.Context, from, to string) (n int, err error) {
	err = db.write(ctx, func(tx *sql.Tx) error {
		list, err := cases(ctx, tx)
		if err != nil {
			return err
		}
		there := map[string]bool{}
		for _, c := range list {
			if c.Practice == to {
				there[c.ID] = true
			}
		}
		both := 0
		for _, c := range list {
			if c.Practice == from {
				n++
				if there[c.ID] {
					both++
				}
			}
		}
		if n == 0 {
			return db.notThere("the database has no case of that practice")
		}
		if both > 0 {
			return &store.Error{
				Kind: store.Clash, Path: db.path, Message: fmt.Sprintf("the two practices have the same pseudonym %d times", both),
				Remedy: "Two patients would become one; give the practice a name of its own",
			}
		}
		for _, t := range []string{"cases", "courses", "movements", "repeats", "history", "removed", "erased"} {
			if _, err := tx.ExecContext(ctx, "UPDATE "+t+" SET practice = ? WHERE practice = ?", to, from); err != nil {
				return err
			}
		}
		_, err = tx.ExecContext(ctx, "UPDATE history SET value = json_set(value, '$.practice', practice) WHERE practice = ?", to)
		return err
	})
	return n, err
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

// removable finds the standing import of a file, by the beginning of its hash;
// one whose records a later file gave again cannot be undone alone.
func (db *DB) removable(ctx context.Context, tx *sql.Tx, sha256 string) (id int64, err error) {
	var ids []int64
	err = each(ctx, tx, "SELECT id FROM files WHERE removed IS NULL AND substr(sha256, 1, length(?1)) = ?1 ORDER BY id", func(scan scanner) error {
		ids = append(ids, 0)
		return scan(&ids[len(ids)-1])
	}, strings.ToLower(sha256))
	if err != nil {
		return 0, err
	}
	if len(ids) == 0 || sha256 == "" {
		return 0, db.notThere("the database has no such file")
	}
	id = ids[len(ids)-1]
	var again, corrected int
	err = tx.QueryRowContext(ctx, `SELECT
		(SELECT count(*) FROM given_again g JOIN files f ON f.id = g.file_id WHERE g.origin_id = ?1 AND f.removed IS NULL),
		(SELECT count(*) FROM history h JOIN files f ON f.id = h.replaced_by WHERE h.file_id = ?1 AND f.removed IS NULL)`, id).Scan(&again, &corrected)
	if err != nil {
		return 0, err
	}
	if again+corrected > 0 {
		return 0, &store.Error{
			Kind: store.Clash, Path: db.path, Message: "a later file gave records of this one again, or corrected them",
			Remedy: "Remove the later file first, or take out single cases",
		}
	}
	return id, nil
}

// undo moves the records of a file to the history and brings back what it had
// replaced or retired.
func undo(ctx context.Context, tx *sql.Tx, id int64) (r store.Removal, err error) {
	for _, u := range []struct {
		table, archive, blocked, restore string
	}{
		{caseTable.name, caseTable.archiveFile(), caseTable.blocked(), caseTable.restore()},
		{courseTable.name, courseTable.archiveFile(), courseTable.blocked(), courseTable.restore()},
		{movementTable.name, movementTable.archiveFile(), movementTable.blocked(), movementTable.restore()},
		{repeatTable.name, repeatTable.archiveFile(), repeatTable.blocked(), repeatTable.restore()},
	} {
		done, err := tx.ExecContext(ctx, u.archive, id)
		if err != nil {
			return r, err
		}
		n, err := done.RowsAffected()
		if err != nil {
			return r, err
		}
		if _, err := tx.ExecContext(ctx, "DELETE FROM "+u.table+" WHERE file_id = ?", id); err != nil {
			return r, err
		}
		if _, err := tx.ExecContext(ctx, u.blocked, id); err != nil {
			return r, err
		}
		back, err := tx.ExecContext(ctx, u.restore, id)
		if err != nil {
			return r, err
		}
		m, err := back.RowsAffected()
		if err != nil {
			return r, err
		}
		r.Records, r.Restored = r.Records+int(n), r.Restored+int(m)
	}
	return r, execAll(ctx, tx, []any{id}, "DELETE FROM history WHERE replaced_by = ?", "DELETE FROM given_again WHERE file_id = ?")
}

// archiveFile copies the current records of one file into the history.
func (t *table[T, K]) archiveFile() string {
	from := strings.Join(provenance, ", ")
	return fmt.Sprintf("INSERT INTO history (kind, how, replaced_by, case_id, practice, value, %s) SELECT '%s', '%s', NULL, case_id, practice, %s, %s FROM %s WHERE file_id = ?",
		from, t.kind, store.Removed, t.object(""), from, t.name)
}

// blocked marks versions that one file replaced and that cannot come back, since
// another file has given the record anew meanwhile.
func (t *table[T, K]) blocked() string {
	match := make([]string, len(t.keys))
	for i, c := range t.keys {
		match[i] = "t." + c + " = json_extract(history.value, '$." + c + "')"
		if c == "case_id" || c == "practice" {
			match[i] = "t." + c + " = history." + c
		}
	}
	return fmt.Sprintf("UPDATE history SET how = '%s', replaced_by = NULL WHERE replaced_by = ? AND kind = '%s' AND EXISTS (SELECT 1 FROM %s t WHERE %s)",
		store.Removed, t.kind, t.name, strings.Join(match, " AND "))
}

// restore copies what one file replaced or retired back from the history.
func (t *table[T, K]) restore() string {
	var columns, from []string
	for _, c := range t.columns() {
		columns = append(columns, c)
		switch c {
		case "case_id", "practice":
			from = append(from, c)
		default:
			from = append(from, "json_extract(value, '$."+c+"')")
		}
	}
	all := strings.Join(append(columns, provenance...), ", ")
	return fmt.Sprintf("INSERT INTO %s (%s) SELECT %s FROM history WHERE replaced_by = ? AND kind = '%s'",
		t.name, all, strings.Join(append(from, provenance...), ", "), t.kind)
}

// Profiles lists what was answered about the layout of sheets.
func (db *DB) Profiles(ctx context.Context) ([]store.Profile, error) {
	var out []store.Profile
	err := db.each(ctx, "SELECT header, name, content FROM profiles ORDER BY name, header", func(scan scanner) error {
		var p store.Profile
		err := scan(&p.Header, &p.Name, &p.Content)
		out = append(out, p)
		return err
	})
	return out, err
}

// PutProfile keeps a profile in place of one with the same header.
func (db *DB) PutProfile(ctx context.Context, p store.Profile) error {
	return db.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT OR REPLACE INTO profiles (header, name, content) VALUES (?, ?, ?)", p.Header, p.Name, p.Content)
		return err
	})
}

// RemoveProfile forgets a profile, named by its header hash or its beginning.
func (db *DB) RemoveProfile(ctx context.Context, header string) error {
	return db.write(ctx, func(tx *sql.Tx) error {
		done, err := tx.ExecContext(ctx, "DELETE FROM profiles WHERE ?1 <> '' AND substr(header, 1, length(?1)) = ?1", header)
		if err != nil {
			return err
		}
		if n, err := done.RowsAffected(); err != nil || n > 0 {
			return err
		}
		return db.notThere("the database has no such profile")
	})
}
