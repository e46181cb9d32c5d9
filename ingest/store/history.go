package store

import (
	"context"
	"database/sql"
	"encoding/json"

	"shortfall/ingest/casebook"
)

// Files lists the imported files with their row counts, oldest import first.
func (db *DB) Files(ctx context.Context) ([]casebook.ImportedFile, error) {
	tx, err := db.sql.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return nil, wrap(db.path, err)
	}
	defer tx.Rollback()
	later, err := laterVersions(ctx, tx)
	if err != nil {
		return nil, wrap(db.path, err)
	}
	list, err := files(ctx, tx, later)
	return list, wrap(db.path, err)
}

func files(ctx context.Context, tx *sql.Tx, later map[int64]int64) ([]casebook.ImportedFile, error) {
	var list []casebook.ImportedFile
	index := map[int64]int{}
	err := each(ctx, tx, "SELECT id, name, sha256, size, invented FROM files ORDER BY id", func(scan scanner) error {
		var id int64
		var f casebook.ImportedFile
		err := scan(&id, &f.Name, &f.SHA256, &f.Size, &f.Invented)
		index[id] = len(list)
		list = append(list, f)
		return err
	})
	if err != nil {
		return nil, err
	}
	for id, by := range later {
		list[index[id]].LaterVersion = list[index[by]].SHA256
	}
	err = each(ctx, tx, `SELECT file_id, name, coalesce(kind, ''), read, accepted, rejected, blank
		FROM sheets ORDER BY file_id, position`, func(scan scanner) error {
		var id int64
		var kind string
		var s casebook.SheetCounts
		err := scan(&id, &s.Sheet, &kind, &s.Read, &s.Accepted, &s.Rejected, &s.Blank)
		s.Kind = kindWords[kind]
		f := &list[index[id]]
		f.Sheets = append(f.Sheets, s)
		return err
	})
	return list, err
}

// rejectedCounts counts the rejected rows of files without a later version.
func rejectedCounts(ctx context.Context, tx *sql.Tx, later map[int64]int64) ([]casebook.RejectedCount, error) {
	var out []casebook.RejectedCount
	err := each(ctx, tx, `SELECT coalesce(kind, ''), rule, file_id, count(*) FROM rejected
		GROUP BY kind, rule, file_id ORDER BY kind, rule`, func(scan scanner) error {
		var kind string
		var id int64
		var r casebook.RejectedCount
		if err := scan(&kind, &r.Rule, &id, &r.Rows); err != nil || later[id] != 0 {
			return err
		}
		r.Kind = kindWords[kind]
		if n := len(out); n > 0 && out[n-1].Kind == r.Kind && out[n-1].Rule == r.Rule {
			out[n-1].Rows += r.Rows
			return nil
		}
		out = append(out, r)
		return nil
	})
	return out, err
}

// supersededCount counts records of files without a later version that another
// file corrected.
func supersededCount(ctx context.Context, tx *sql.Tx, later map[int64]int64) (n int, err error) {
	err = each(ctx, tx, "SELECT file_id, count(*) FROM history GROUP BY file_id", func(scan scanner) error {
		var id int64
		var records int
		err := scan(&id, &records)
		if later[id] == 0 {
			n += records
		}
		return err
	})
	return n, err
}

// RejectedRow is a row that was read and not accepted, with its file.
type RejectedRow struct {
	casebook.Rejected
	File casebook.File
}

// Rejected lists the rejected rows in the order they were read.
func (db *DB) Rejected(ctx context.Context) ([]RejectedRow, error) {
	var out []RejectedRow
	err := db.each(ctx, `SELECT coalesce(r.kind, ''), r.reasons, r.sheet, r.row, f.name, f.sha256, f.size, l.cells, r.original
		FROM rejected r JOIN files f ON f.id = r.file_id JOIN layouts l ON l.id = r.layout_id ORDER BY r.id`, func(scan scanner) error {
		var kind, reasons, layout, original string
		var r RejectedRow
		err := scan(&kind, &reasons, &r.Source.Sheet, &r.Source.Row, &r.File.Name, &r.File.SHA256, &r.File.Size, &layout, &original)
		if err != nil {
			return err
		}
		r.Kind = kindWords[kind]
		if err := json.Unmarshal([]byte(reasons), &r.Reasons); err != nil {
			return err
		}
		r.Original, err = join(layout, original, r.Source.Row)
		out = append(out, r)
		return err
	})
	return out, err
}

// Problems lists what was found in the imported files, in the order found.
func (db *DB) Problems(ctx context.Context) ([]casebook.Problem, error) {
	var out []casebook.Problem
	err := db.each(ctx, "SELECT problem FROM problems ORDER BY file_id, position", func(scan scanner) error {
		var text string
		if err := scan(&text); err != nil {
			return err
		}
		var p casebook.Problem
		err := json.Unmarshal([]byte(text), &p)
		out = append(out, p)
		return err
	})
	return out, err
}

// Version is one state of a record: where it came from and what stood there.
type Version struct {
	Kind     casebook.Kind
	Value    json.RawMessage // a JSON object of the record's columns
	File     casebook.File
	Source   casebook.Source
	Original []casebook.Cell
	// ReplacedBy is the file that corrected it; empty for the current version.
	ReplacedBy casebook.File
}

// Cases lists every case that the database knows, by pseudonym.
func (db *DB) Cases(ctx context.Context) ([]casebook.CaseKey, error) {
	var out []casebook.CaseKey
	err := db.each(ctx, `SELECT case_id, practice FROM cases UNION SELECT case_id, practice FROM courses
		UNION SELECT case_id, practice FROM movements UNION SELECT case_id, practice FROM repeats
		UNION SELECT case_id, practice FROM history ORDER BY case_id, practice`, func(scan scanner) error {
		var k casebook.CaseKey
		err := scan(&k.ID, &k.Practice)
		out = append(out, k)
		return err
	})
	return out, err
}

// Current lists the records of one case as they stand, with their origin.
func (db *DB) Current(ctx context.Context, k casebook.CaseKey) ([]Version, error) {
	var out []Version
	for _, query := range []string{
		caseTable.versions(), courseTable.versions(), movementTable.versions(), repeatTable.versions(),
	} {
		list, err := db.versions(ctx, query, k)
		if err != nil {
			return nil, err
		}
		out = append(out, list...)
	}
	return out, nil
}

// History lists the versions of the records of one case that later files
// corrected, oldest first.
func (db *DB) History(ctx context.Context, k casebook.CaseKey) ([]Version, error) {
	return db.versions(ctx, `SELECT h.kind, h.value, f.name, f.sha256, f.size, h.sheet, h.row, l.cells, h.original,
		b.name, b.sha256, b.size FROM history h JOIN files f ON f.id = h.file_id JOIN layouts l ON l.id = h.layout_id
		JOIN files b ON b.id = h.replaced_by WHERE h.case_id = ? AND h.practice = ? ORDER BY h.id`, k)
}

func (db *DB) versions(ctx context.Context, query string, k casebook.CaseKey) ([]Version, error) {
	var out []Version
	err := db.each(ctx, query, func(scan scanner) error {
		var v Version
		var kind, value, layout, original string
		err := scan(&kind, &value, &v.File.Name, &v.File.SHA256, &v.File.Size, &v.Source.Sheet, &v.Source.Row,
			&layout, &original, &v.ReplacedBy.Name, &v.ReplacedBy.SHA256, &v.ReplacedBy.Size)
		if err != nil {
			return err
		}
		v.Kind, v.Value = kindWords[kind], json.RawMessage(value)
		v.Original, err = join(layout, original, v.Source.Row)
		out = append(out, v)
		return err
	}, k.ID, k.Practice)
	return out, err
}

type scanner func(targets ...any) error

// each runs a query and hands every row on.
func each(ctx context.Context, tx *sql.Tx, query string, row func(scanner) error, args ...any) error {
	rows, err := tx.QueryContext(ctx, query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := row(rows.Scan); err != nil {
			return err
		}
	}
	return rows.Err()
}

// each runs one query on its own.
func (db *DB) each(ctx context.Context, query string, row func(scanner) error, args ...any) error {
	tx, err := db.sql.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return wrap(db.path, err)
	}
	defer tx.Rollback()
	return wrap(db.path, each(ctx, tx, query, row, args...))
}
