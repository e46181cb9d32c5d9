package sqlstore

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"maps"
	"slices"
	"sync"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// Import keeps what one file gave, in one transaction: all of it or none. What
// becomes of each record is store.Decide's.
func (db *Records) Import(ctx context.Context, b *casebook.Batch, c store.Choices) (store.Outcome, error) {
	out, err := db.importBatch(ctx, b, c)
	return out, db.ended(ctx, err)
}

func (db *Records) importBatch(ctx context.Context, b *casebook.Batch, c store.Choices) (store.Outcome, error) {
	tx, err := db.Begin(ctx)
	if err != nil {
		return store.Outcome{}, err
	}
	defer tx.Rollback()
	known, err := readKnown(ctx, tx, db.Path())
	if err != nil {
		return store.Outcome{}, err
	}
	given := *b // Decide leaves records out and not the caller's
	plan, err := store.Decide(&given, known, c)
	if err != nil || plan.Already {
		return store.Outcome{Already: err == nil}, err
	}
	if err := db.carryOut(ctx, tx, &given, plan); err != nil {
		plan.Undo()
		return store.Outcome{}, err
	}
	return plan.Outcome, nil
}

// carryOut writes what was decided and ends the transaction.
func (db *Records) carryOut(ctx context.Context, tx *Tx, b *casebook.Batch, plan *store.Plan) error {
	w, err := db.newWriter(ctx, tx, b, plan)
	if err != nil {
		return err
	}
	if err := w.all(); err != nil {
		return err
	}
	return db.Commit(ctx, tx)
}

// erasedCases tells whether a case was erased.
func erasedCases(ctx context.Context, tx *Tx) (func(casebook.CaseKey) bool, error) {
	type mark struct{ salt, hash string }
	marks := map[string][]mark{}
	err := each(ctx, tx, "SELECT practice, salt, hash FROM erased", func(scan scanner) error {
		var practice string
		var m mark
		err := scan(&practice, &m.salt, &m.hash)
		marks[practice] = append(marks[practice], m)
		return err
	})
	if err != nil || len(marks) == 0 {
		return nil, err
	}
	known := map[casebook.CaseKey]bool{}
	return func(k casebook.CaseKey) bool {
		is, ok := known[k]
		if !ok {
			is = slices.ContainsFunc(marks[k.Practice], func(m mark) bool {
				return eraseMark(m.salt, k.ID) == m.hash || eraseMark(m.salt, anySpelling(k.ID)) == m.hash
			})
			known[k] = is
		}
		return is
	}, nil
}

// eraseMark is what is left of an erased case.
func eraseMark(salt, id string) string {
	sum := sha256.Sum256([]byte(salt + "\x00" + id))
	return hex.EncodeToString(sum[:])
}

// writer carries out one plan.
type writer struct {
	ctx     context.Context
	tx      *Tx
	wrap    func(error) error
	path    string
	fileID  int64
	batch   *casebook.Batch
	plan    *store.Plan
	layouts *layouts
	turn    sync.Mutex // whose it is to speak to the database, while records are inserted
}

func (db *Records) newWriter(ctx context.Context, tx *Tx, b *casebook.Batch, p *store.Plan) (*writer, error) {
	var id int64
	err := tx.QueryRowContext(ctx, "INSERT INTO files (name, sha256, size, invented, reading) VALUES (?, ?, ?, ?, ?) RETURNING id",
		b.File.Name, b.File.SHA256, b.File.Size, b.Invented, b.File.Reading).Scan(&id)
	if err != nil {
		return nil, err
	}
	w := &writer{ctx: ctx, tx: tx, wrap: db.Wrap, path: db.Path(), fileID: id, batch: b, plan: p, layouts: newLayouts(tx, id, db.Brief)}
	insert := w.layouts.insert
	w.layouts.insert = func(ctx context.Context, cells string) (int64, error) {
		w.turn.Lock()
		defer w.turn.Unlock()
		return insert(ctx, cells)
	}
	return w, nil
}

func (w *writer) all() error {
	b, p := w.batch, w.plan
	steps := []func() error{
		w.sheets,
		func() error { return change(w, &caseTable, b.Cases, &p.Cases) },
		func() error { return change(w, &courseTable, b.Courses, &p.Courses) },
		func() error { return change(w, &movementTable, b.Movements, &p.Movements) },
		func() error { return change(w, &repeatTable, b.Repeats, &p.Repeats) },
		w.rejected,
		w.problems,
		w.givenAgain,
	}
	for _, step := range steps {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

func (w *writer) sheets() error {
	for i, s := range w.batch.Sheets {
		_, err := w.tx.ExecContext(w.ctx,
			"INSERT INTO sheets (file_id, position, name, kind, read, accepted, rejected, blank) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
			w.fileID, i, s.Sheet, wordOrNull(s.Kind), s.Read, s.Accepted, s.Rejected, s.Blank)
		if err != nil {
			return err
		}
	}
	return nil
}

func (w *writer) rejected() error {
	rows := w.rows("rejected", "kind", "rule", "reasons", "file_id", "sheet", "row", "layout_id", "original")
	for _, r := range w.batch.Rejected {
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
		if err := rows.add(wordOrNull(r.Kind), rule, string(reasons), w.fileID, r.Source.Sheet, r.Source.Row, layout, original); err != nil {
			return err
		}
	}
	return rows.flush()
}

func (w *writer) problems() error {
	rows := w.rows("problems", "file_id", "position", "rule", "severity", "problem")
	for i, p := range w.batch.Problems {
		text, err := json.Marshal(p.Keep())
		if err != nil {
			return err
		}
		if err := rows.add(w.fileID, i, p.Rule, p.Severity.String(), string(text)); err != nil {
			return err
		}
	}
	return rows.flush()
}

// rows collects rows of a table that are written some at once.
type rows struct {
	w       *writer
	table   string
	columns []string
	args    []any
}

func (w *writer) rows(table string, columns ...string) *rows {
	return &rows{w: w, table: table, columns: columns}
}

func (r *rows) add(values ...any) error {
	r.args = append(r.args, values...)
	if len(r.args) < len(r.columns)*r.w.tx.RowsAtOnce() {
		return nil
	}
	return r.flush()
}

func (r *rows) flush() error {
	if len(r.args) == 0 {
		return nil
	}
	err := r.w.tx.Insert(r.w.ctx, r.w.tx, r.table, r.columns, r.args)
	r.args = r.args[:0]
	return err
}

// tally records how a kind met the database.
func (w *writer) tally(kind casebook.Kind, t store.Tally) error {
	if t == (store.Tally{}) {
		return nil
	}
	_, err := w.tx.ExecContext(w.ctx,
		"INSERT INTO tallies (file_id, kind, fresh, unchanged, superseded, retired) VALUES (?, ?, ?, ?, ?, ?)",
		w.fileID, kind.String(), t.New, t.Unchanged, t.Superseded, t.Retired)
	return err
}

// givenAgain records which earlier files the records of this one came from.
func (w *writer) givenAgain() error {
	for _, origin := range slices.Sorted(maps.Keys(w.plan.Again)) {
		_, err := w.tx.ExecContext(w.ctx, "INSERT INTO given_again (file_id, origin_id, records) VALUES (?, ?, ?)",
			w.fileID, origin, w.plan.Again[origin])
		if err != nil {
			return err
		}
	}
	return nil
}

// readEditions lists the files in the order of their import.
func readEditions(ctx context.Context, tx *Tx) (editions []store.Edition, err error) {
	at := map[int64]int{}
	err = each(ctx, tx, `SELECT f.id, f.name, f.sha256, f.size, f.reading, f.removed IS NOT NULL,
		coalesce(sum(t.fresh + t.unchanged + t.superseded), 0)
		FROM files f LEFT JOIN tallies t ON t.file_id = f.id GROUP BY f.id ORDER BY f.id`, func(scan scanner) error {
		e := store.Edition{Again: map[int64]int{}}
		err := scan(&e.ID, &e.Name, &e.SHA256, &e.Size, &e.Reading, &e.Removed, &e.Records)
		at[e.ID], editions = len(editions), append(editions, e)
		return err
	})
	if err != nil {
		return nil, err
	}
	err = each(ctx, tx, "SELECT file_id, origin_id, records FROM given_again", func(scan scanner) error {
		var file, origin int64
		var n int
		err := scan(&file, &origin, &n)
		editions[at[file]].Again[origin] = n
		return err
	})
	return editions, err
}
