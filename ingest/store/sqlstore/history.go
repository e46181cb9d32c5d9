package sqlstore

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// Files lists the imported files with their row counts, oldest import first.
func (db *Records) Files(ctx context.Context) ([]casebook.ImportedFile, error) {
	tx, err := db.Read(ctx)
	if err != nil {
		return nil, db.Wrap(err)
	}
	defer tx.Rollback()
	out, err := outOfCount(ctx, tx)
	if err != nil {
		return nil, db.Wrap(err)
	}
	list, err := files(ctx, tx, out.later)
	return list, db.Wrap(err)
}

func files(ctx context.Context, tx *Tx, later map[int64]int64) ([]casebook.ImportedFile, error) {
	var list []casebook.ImportedFile
	index := map[int64]int{}
	err := each(ctx, tx, "SELECT id, name, sha256, size, invented, reading FROM files WHERE removed IS NULL ORDER BY id", func(scan scanner) error {
		var id int64
		var f casebook.ImportedFile
		err := scan(&id, &f.Name, &f.SHA256, &f.Size, &f.Invented, &f.Reading)
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
		FROM sheets WHERE file_id IN (SELECT id FROM files WHERE removed IS NULL) ORDER BY file_id, position`, func(scan scanner) error {
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
func rejectedCounts(ctx context.Context, tx *Tx, out *uncounted) ([]casebook.RejectedCount, error) {
	var list []casebook.RejectedCount
	err := each(ctx, tx, `SELECT coalesce(kind, ''), rule, file_id, count(*) FROM rejected
		GROUP BY 1, 2, 3 ORDER BY 1, 2`, func(scan scanner) error {
		var kind string
		var id int64
		var r casebook.RejectedCount
		if err := scan(&kind, &r.Rule, &id, &r.Rows); err != nil || out.has(id) {
			return err
		}
		r.Kind = kindWords[kind]
		if n := len(list); n > 0 && list[n-1].Kind == r.Kind && list[n-1].Rule == r.Rule {
			list[n-1].Rows += r.Rows
			return nil
		}
		list = append(list, r)
		return nil
	})
	return list, err
}

// wordsRead sums the words of the files that count.
func wordsRead(ctx context.Context, tx *Tx, out *uncounted) ([]casebook.WordRead, error) {
	rows := map[casebook.WordRead]int{}
	err := problemsOf(ctx, tx, out, casebook.WordsRead, func(p *casebook.Problem) {
		n := p.Word.Rows
		p.Word.Rows = 0
		rows[p.Word] += n
	})
	var words []casebook.WordRead
	for w, n := range rows {
		w.Rows = n
		words = append(words, w)
	}
	slices.SortFunc(words, casebook.CompareWords)
	return words, err
}

// refusedAlone sums the movements refused in rows that are kept, of the files that count.
func refusedAlone(ctx context.Context, tx *Tx, out *uncounted) (n int, err error) {
	err = problemsOf(ctx, tx, out, casebook.MovementsRefused, func(p *casebook.Problem) { n += p.Count })
	return n, err
}

// problemsOf calls f with the problems of one rule, of the files that count.
func problemsOf(ctx context.Context, tx *Tx, out *uncounted, rule string, f func(*casebook.Problem)) error {
	return each(ctx, tx, "SELECT file_id, problem FROM problems WHERE rule = '"+rule+"'", func(scan scanner) error {
		var id int64
		var text string
		if err := scan(&id, &text); err != nil || out.has(id) {
			return err
		}
		var p casebook.Problem
		if err := json.Unmarshal([]byte(text), &p); err != nil {
			return err
		}
		f(&p)
		return nil
	})
}

// supersededCount counts records of files without a later version that another
// file corrected.
func supersededCount(ctx context.Context, tx *Tx, out *uncounted) (n int, err error) {
	err = each(ctx, tx, "SELECT file_id, count(*) FROM history WHERE how = 'corrected' GROUP BY file_id", func(scan scanner) error {
		var id int64
		var records int
		err := scan(&id, &records)
		if !out.has(id) {
			n += records
		}
		return err
	})
	return n, err
}

// Rejected lists the rejected rows in the order they were read.
func (db *Records) Rejected(ctx context.Context) ([]store.RejectedRow, error) {
	var out []store.RejectedRow
	err := db.each(ctx, `SELECT coalesce(r.kind, ''), r.reasons, r.sheet, r.row, f.name, f.sha256, f.size, l.cells, r.original
		FROM rejected r JOIN files f ON f.id = r.file_id JOIN layouts l ON l.id = r.layout_id WHERE f.removed IS NULL ORDER BY r.id`, func(scan scanner) error {
		var kind, reasons, layout, original string
		var r store.RejectedRow
		err := scan(&kind, &reasons, &r.Source.Sheet, &r.Source.Row, &r.File.Name, &r.File.SHA256, &r.File.Size, &layout, &original)
		if err != nil {
			return err
		}
		r.Kind = kindWords[kind]
		if err := json.Unmarshal([]byte(reasons), &r.Reasons); err != nil {
			return err
		}
		cells, err := join(layout, original, r.Source.Row)
		r.Original = casebook.OriginalOf(cells)
		out = append(out, r)
		return err
	})
	return out, err
}

// Problems lists what was found in the imported files, in the order found.
func (db *Records) Problems(ctx context.Context) ([]casebook.Problem, error) {
	var out []casebook.Problem
	err := db.each(ctx, "SELECT problem FROM problems WHERE file_id IN (SELECT id FROM files WHERE removed IS NULL) ORDER BY file_id, position", func(scan scanner) error {
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

// Cases lists every case that the database knows, by pseudonym.
func (db *Records) Cases(ctx context.Context) ([]store.CaseCount, error) {
	tx, err := db.Read(ctx)
	if err != nil {
		return nil, db.Wrap(err)
	}
	defer tx.Rollback()
	out, err := cases(ctx, tx)
	return out, db.Wrap(err)
}

func cases(ctx context.Context, tx *Tx) ([]store.CaseCount, error) {
	removed, err := removedCases(ctx, tx)
	if err != nil {
		return nil, err
	}
	unsettled := map[string]string{}
	err = each(ctx, tx, "SELECT case_id, practices FROM unsettled", func(scan scanner) error {
		var id, practices string
		err := scan(&id, &practices)
		unsettled[id] = practices
		return err
	})
	if err != nil {
		return nil, err
	}
	var out []store.CaseCount
	err = each(ctx, tx, `SELECT case_id, practice, kind, sum(n) FROM (
		SELECT case_id, practice, 'case' AS kind, 1 AS n FROM cases
		UNION ALL SELECT case_id, practice, 'course', count(*) FROM courses GROUP BY case_id, practice
		UNION ALL SELECT case_id, practice, 'movement', count(*) FROM movements GROUP BY case_id, practice
		UNION ALL SELECT case_id, practice, 'repeat', count(*) FROM repeats GROUP BY case_id, practice
		UNION ALL SELECT case_id, practice, 'case', 0 FROM history) AS counted
		GROUP BY case_id, practice, kind ORDER BY case_id, practice`, func(scan scanner) error {
		var k casebook.CaseKey
		var kind string
		var n int
		err := scan(&k.ID, &k.Practice, &kind, &n)
		if last := len(out) - 1; last < 0 || out[last].CaseKey != k {
			c := store.CaseCount{CaseKey: k, Unsettled: unsettled[k.ID], Records: map[casebook.Kind]int{}}
			c.Removed.Value, c.Removed.OK = removed[k]
			out = append(out, c)
		}
		if n > 0 {
			out[len(out)-1].Records[kindWords[kind]] += n
		}
		return err
	})
	return out, err
}

// Current lists the records of one case as they stand, with their origin.
func (db *Records) Current(ctx context.Context, k casebook.CaseKey) ([]store.Version, error) {
	return db.versions(ctx, k, func(d Dialect) []string {
		return []string{caseTable.versions(d), courseTable.versions(d), movementTable.versions(d), repeatTable.versions(d)}
	})
}

// History lists the versions of the records of one case that are no longer
// current, oldest first.
func (db *Records) History(ctx context.Context, k casebook.CaseKey) ([]store.Version, error) {
	return db.versions(ctx, k, func(Dialect) []string {
		return []string{`SELECT h.kind, h.value, f.name, f.sha256, f.size, h.sheet, h.row, l.cells, h.original,
		h.how, coalesce(b.name, ''), coalesce(b.sha256, ''), coalesce(b.size, 0) FROM history h JOIN files f ON f.id = h.file_id JOIN layouts l ON l.id = h.layout_id
		LEFT JOIN files b ON b.id = h.replaced_by WHERE h.case_id = ? AND h.practice = ? ORDER BY h.id`}
	})
}

// versions runs queries about one case, as of one moment.
func (db *Records) versions(ctx context.Context, k casebook.CaseKey, queries func(Dialect) []string) ([]store.Version, error) {
	tx, err := db.Read(ctx)
	if err != nil {
		return nil, db.Wrap(err)
	}
	defer tx.Rollback()
	var out []store.Version
	row := func(scan scanner) error {
		var v store.Version
		var kind, value, layout, original string
		err := scan(&kind, &value, &v.File.Name, &v.File.SHA256, &v.File.Size, &v.Source.Sheet, &v.Source.Row,
			&layout, &original, &v.How, &v.ReplacedBy.Name, &v.ReplacedBy.SHA256, &v.ReplacedBy.Size)
		if err != nil {
			return err
		}
		v.Kind = kindWords[kind]
		if v.Value, err = oneForm(value); err != nil {
			return err
		}
		v.Original, err = join(layout, original, v.Source.Row)
		out = append(out, v)
		return err
	}
	for _, query := range queries(tx) {
		if err := each(ctx, tx, query, row, k.ID, k.Practice); err != nil {
			return nil, db.Wrap(err)
		}
	}
	return out, nil
}

// oneForm writes an object of plain values, which engines write with more digits or fewer,
// with the fewest digits that are the same number.
func oneForm(object string) (json.RawMessage, error) {
	d := json.NewDecoder(strings.NewReader(object))
	d.UseNumber()
	out := []byte{}
	for i := 0; ; i++ {
		t, err := d.Token()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
		if delim, is := t.(json.Delim); is {
			out = append(out, delim.String()...)
			continue
		}
		if n, is := t.(json.Number); is && strings.ContainsAny(n.String(), ".eE") {
			if t, err = n.Float64(); err != nil {
				return nil, err
			}
		}
		text, err := json.Marshal(t)
		if err != nil {
			return nil, err
		}
		if i > 1 { // after the brace, by turns a name and its value
			out = append(out, ",:"[i%2^1])
		}
		out = append(out, text...)
	}
}

type scanner func(targets ...any) error

// each runs a query and hands every row on.
func each(ctx context.Context, tx *Tx, query string, row func(scanner) error, args ...any) error {
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
func (db *Records) each(ctx context.Context, query string, row func(scanner) error, args ...any) error {
	tx, err := db.Read(ctx)
	if err != nil {
		return db.Wrap(err)
	}
	defer tx.Rollback()
	return db.Wrap(each(ctx, tx, query, row, args...))
}
