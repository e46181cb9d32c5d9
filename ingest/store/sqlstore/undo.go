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
			Kind: store.Clash, Path: db.Path(), Message: "a later file gave records of this one again, or corrected them",
			Remedy: "Remove the later file first, or take out single cases",
		}
	}
	return id, nil
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
