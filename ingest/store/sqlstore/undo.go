package sqlstore

import (
	"context"
	"fmt"
	"strings"

	"shortfall/ingest/store"
)

// removable finds the standing import of a file, by the beginning of its hash;
// one whose records a later file gave again cannot be undone alone.
func (db *Records) removable(ctx context.Context, tx *Tx, sha256 string) (id int64, err error) {
	var ids []int64
	err = each(ctx, tx, "SELECT id FROM files WHERE removed IS NULL AND substr(sha256, 1, length(?1)) = ?1 ORDER BY id", func(scan scanner) error {
		ids = append(ids, 0)
		return scan(&ids[len(ids)-1])
	}, strings.ToLower(sha256))
	if err != nil {
		return 0, err
	}
	if len(ids) == 0 || sha256 == "" {
		return 0, db.notThere("the database has no such file", "records")
	}
	id = ids[len(ids)-1]
	later, err := restingOn(ctx, tx)
	if err != nil {
		return 0, err
	}
	if names := later[id]; len(names) > 0 {
		which := strings.Join(names, ", ")
		return 0, &store.Error{
			Kind: store.Clash, Path: db.Path(), Message: "records of this file were given again or corrected by " + which + ", read later",
			Remedy: "Remove " + which + " first, which can be read again afterwards; or take out single cases",
		}
	}
	return id, nil
}

// restingOn names the standing files that gave records of each file again or corrected
// them, in the order of import.
func restingOn(ctx context.Context, tx *Tx) (map[int64][]string, error) {
	out := map[int64][]string{}
	err := each(ctx, tx, `SELECT l.first, f.name FROM (
			SELECT origin_id AS first, file_id AS later FROM given_again UNION SELECT file_id, replaced_by FROM history WHERE replaced_by IS NOT NULL
		) AS l JOIN files f ON f.id = l.later WHERE f.removed IS NULL ORDER BY l.first, f.id`, func(scan scanner) error {
		var id int64
		var name string
		err := scan(&id, &name)
		out[id] = append(out[id], name)
		return err
	})
	return out, err
}

// RestingOn names the later files that rest on each file, by its content.
func (db *Records) RestingOn(ctx context.Context) (map[string][]string, error) {
	tx, err := db.Read(ctx)
	if err != nil {
		return nil, db.Wrap(err)
	}
	defer tx.Rollback()
	later, err := restingOn(ctx, tx)
	if err != nil {
		return nil, db.Wrap(err)
	}
	out := map[string][]string{}
	err = each(ctx, tx, "SELECT id, sha256 FROM files WHERE removed IS NULL", func(scan scanner) error {
		var id int64
		var sha string
		err := scan(&id, &sha)
		if names := later[id]; len(names) > 0 {
			out[sha] = names
		}
		return err
	})
	return out, db.ended(ctx, err)
}

// RemovedFiles lists the imports that were undone, with the reason.
func (db *Records) RemovedFiles(ctx context.Context) (out []store.RemovedFile, err error) {
	err = db.each(ctx, "SELECT name, sha256, removed FROM files WHERE removed IS NOT NULL ORDER BY id", func(scan scanner) error {
		out = append(out, store.RemovedFile{})
		f := &out[len(out)-1]
		return scan(&f.Name, &f.SHA256, &f.Reason)
	})
	return out, err
}

// undo moves the records of a file to the history and brings back what it had
// replaced or retired.
func undo(ctx context.Context, tx *Tx, id int64) (r store.Removal, err error) {
	for _, u := range []struct {
		table, archive, blocked, restore string
	}{
		{caseTable.name, caseTable.archiveFile(tx), caseTable.blocked(tx), caseTable.restore(tx)},
		{courseTable.name, courseTable.archiveFile(tx), courseTable.blocked(tx), courseTable.restore(tx)},
		{movementTable.name, movementTable.archiveFile(tx), movementTable.blocked(tx), movementTable.restore(tx)},
		{repeatTable.name, repeatTable.archiveFile(tx), repeatTable.blocked(tx), repeatTable.restore(tx)},
	} {
		done, err := tx.ExecContext(ctx, u.archive, id)
		if err != nil {
			return r, err
		}
		n, err := done.RowsAffected()
		if err != nil {
			return r, err
		}
		if _, err := tx.ExecContext(ctx, tx.Delete(u.table, "file_id = ?"), id); err != nil {
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
func (t *table[T, K]) archiveFile(d Dialect) string {
	from := strings.Join(provenance, ", ")
	return fmt.Sprintf("INSERT INTO history (kind, how, replaced_by, case_id, practice, value, %s) SELECT '%s', '%s', NULL, case_id, practice, %s, %s FROM %s WHERE file_id = ?",
		from, t.kind, store.Removed, d.Object(t.name, t.columns()), from, t.name)
}

// blocked marks versions that one file replaced and that cannot come back, since
// another file has given the record anew meanwhile.
func (t *table[T, K]) blocked(d Dialect) string {
	match := make([]string, len(t.keys))
	for i, c := range t.keys {
		match[i] = "t." + c + " = " + d.Field(t.name, c, "history.value")
		if c == "case_id" || c == "practice" {
			match[i] = "t." + c + " = history." + c
		}
	}
	return fmt.Sprintf("UPDATE history SET how = '%s', replaced_by = NULL WHERE replaced_by = ? AND kind = '%s' AND EXISTS (SELECT 1 FROM %s t WHERE %s)",
		store.Removed, t.kind, t.name, strings.Join(match, " AND "))
}

// restore copies what one file replaced or retired back from the history.
func (t *table[T, K]) restore(d Dialect) string {
	var columns, from []string
	for _, c := range t.columns() {
		columns = append(columns, c)
		switch c {
		case "case_id", "practice":
			from = append(from, c)
		default:
			from = append(from, d.Field(t.name, c, "value"))
		}
	}
	all := strings.Join(append(columns, provenance...), ", ")
	return fmt.Sprintf("INSERT INTO %s (%s) SELECT %s FROM history WHERE replaced_by = ? AND kind = '%s'",
		t.name, all, strings.Join(append(from, provenance...), ", "), t.kind)
}
