package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"slices"

	"shortfall/ingest/casebook"
)

// Tally says how the records of one kind met those already in the database.
type Tally struct {
	New        int `json:"new"`
	Unchanged  int `json:"unchanged"`
	Superseded int `json:"superseded"` // corrected: the old version is in the history
}

// Add sums tallies.
func (t Tally) Add(o Tally) Tally {
	return Tally{t.New + o.New, t.Unchanged + o.Unchanged, t.Superseded + o.Superseded}
}

// Outcome of an import.
type Outcome struct {
	// Already is true where the same file, by content, was imported before; nothing was changed.
	Already  bool
	Tallies  map[casebook.Kind]Tally
	Rejected int // rows
	Problems int
}

// Total over the four kinds.
func (o Outcome) Total() Tally {
	var t Tally
	for _, k := range o.Tallies {
		t = t.Add(k)
	}
	return t
}

// Import keeps what one file gave, in one transaction: all of it or none.
//
// A record whose key is new is added. One that equals the current record is
// unchanged and keeps its first origin. One that differs replaces it and the
// old version goes to the history: the file imported last is right. A record
// that a later file no longer has stays current. Within one file the same
// record may be given several times (a flat sheet repeats its cases); two
// different records of one key are a Conflict, which the rules of ingest
// report row by row before it comes to this.
//
// The practice of a case that the file leaves open is settled first (see settlePractices),
// in the batch itself.
//
// The error is an *Error, or the context's.
func (db *DB) Import(ctx context.Context, b *casebook.Batch, c Choices) (Outcome, error) {
	out, err := db.importBatch(ctx, b, c)
	return out, wrap(db.path, err)
}

func (db *DB) importBatch(ctx context.Context, b *casebook.Batch, c Choices) (Outcome, error) {
	tx, err := db.sql.BeginTx(ctx, nil)
	if err != nil {
		return Outcome{}, err
	}
	defer tx.Rollback()
	var known int
	if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM files WHERE sha256 = ?", b.File.SHA256).Scan(&known); err != nil {
		return Outcome{}, err
	}
	if known > 0 {
		return Outcome{Already: true}, nil
	}
	h, err := holdingsOf(ctx, tx)
	if err != nil {
		return Outcome{}, err
	}
	if err := settlePractices(b, c, h, db.path); err != nil {
		return Outcome{}, err
	}
	w, err := newWriter(ctx, tx, db.path, b)
	if err != nil {
		return Outcome{}, err
	}
	if err := w.all(b); err != nil {
		return Outcome{}, err
	}
	return w.out, tx.Commit()
}

// writer is the state of one import.
type writer struct {
	ctx     context.Context
	tx      *sql.Tx
	path    string
	fileID  int64
	layouts *layouts
	again   map[int64]int // records that stood here already, by the file they came from
	out     Outcome
}

func newWriter(ctx context.Context, tx *sql.Tx, path string, b *casebook.Batch) (*writer, error) {
	done, err := tx.ExecContext(ctx, "INSERT INTO files (name, sha256, size, invented) VALUES (?, ?, ?, ?)",
		b.File.Name, b.File.SHA256, b.File.Size, b.Invented)
	if err != nil {
		return nil, err
	}
	id, err := done.LastInsertId()
	if err != nil {
		return nil, err
	}
	l, err := newLayouts(ctx, tx, id)
	return &writer{
		ctx: ctx, tx: tx, path: path, fileID: id, layouts: l, again: map[int64]int{},
		out: Outcome{Tallies: map[casebook.Kind]Tally{}},
	}, err
}

func (w *writer) all(b *casebook.Batch) error {
	steps := []func() error{
		func() error { return w.sheets(b.Sheets) },
		func() error { return keep(w, &caseTable, b.Cases) },
		func() error { return keep(w, &courseTable, b.Courses) },
		func() error { return keep(w, &movementTable, b.Movements) },
		func() error { return keep(w, &repeatTable, b.Repeats) },
		func() error { return w.rejected(b.Rejected) },
		func() error { return w.problems(b.Problems) },
		w.givenAgain,
	}
	for _, step := range steps {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

func (w *writer) sheets(sheets []casebook.SheetCounts) error {
	for i, s := range sheets {
		_, err := w.tx.ExecContext(w.ctx,
			"INSERT INTO sheets (file_id, position, name, kind, read, accepted, rejected, blank) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
			w.fileID, i, s.Sheet, wordOrNull(s.Kind), s.Read, s.Accepted, s.Rejected, s.Blank)
		if err != nil {
			return err
		}
	}
	return nil
}

func (w *writer) rejected(rows []casebook.Rejected) error {
	w.out.Rejected = len(rows)
	for _, r := range rows {
		layout, original, err := w.layouts.split(w.ctx, r.Source.Row, r.Original)
		if err != nil {
			return err
		}
		rule := "unknown"
		if len(r.Reasons) > 0 {
			rule = r.Reasons[0].Rule
		}
		kept := make([]casebook.Problem, len(r.Reasons))
		for i, p := range r.Reasons {
			kept[i] = p.Keep()
		}
		reasons, err := json.Marshal(kept)
		if err != nil {
			return err
		}
		_, err = w.tx.ExecContext(w.ctx,
			"INSERT INTO rejected (kind, rule, reasons, file_id, sheet, row, layout_id, original) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
			wordOrNull(r.Kind), rule, string(reasons), w.fileID, r.Source.Sheet, r.Source.Row, layout, original)
		if err != nil {
			return err
		}
	}
	return nil
}

func (w *writer) problems(problems []casebook.Problem) error {
	w.out.Problems = len(problems)
	for i, p := range problems {
		text, err := json.Marshal(p.Keep())
		if err != nil {
			return err
		}
		_, err = w.tx.ExecContext(w.ctx,
			"INSERT INTO problems (file_id, position, rule, severity, problem) VALUES (?, ?, ?, ?, ?)",
			w.fileID, i, p.Rule, p.Severity.String(), string(text))
		if err != nil {
			return err
		}
	}
	return nil
}

// tally records how a kind met the database.
func (w *writer) tally(kind casebook.Kind, t Tally) error {
	w.out.Tallies[kind] = t
	_, err := w.tx.ExecContext(w.ctx,
		"INSERT INTO tallies (file_id, kind, fresh, unchanged, superseded) VALUES (?, ?, ?, ?, ?)",
		w.fileID, kind.String(), t.New, t.Unchanged, t.Superseded)
	return err
}

// holdingsOf reads which practices hold which pseudonyms.
func holdingsOf(ctx context.Context, tx *sql.Tx) (holdings, error) {
	h := holdings{of: map[string][]string{}}
	err := each(ctx, tx, `SELECT case_id, practice FROM cases UNION SELECT case_id, practice FROM courses
		UNION SELECT case_id, practice FROM movements UNION SELECT case_id, practice FROM repeats`, func(scan scanner) error {
		var id, practice string
		err := scan(&id, &practice)
		h.of[id] = append(h.of[id], practice)
		if !slices.Contains(h.all, practice) {
			h.all = append(h.all, practice)
		}
		return err
	})
	return h, err
}
