package store

import (
	"context"
	"database/sql"
	"maps"
	"slices"
)

// A practice corrects its workbook, or adds a quarter to it, and gives it
// again. The rows of the earlier version must then not count twice, and those
// it had to reject are answered or rejected anew. Whether a file is a later
// version is read off its records and not its name, which people change; a
// short file of corrections alone is none.

// edition is what is known of one file, to tell which later one replaced it.
type edition struct {
	id      int64
	records int           // that it gave
	again   map[int64]int // of these stood here already, by the file they came from
	parts   map[int64]bool
}

// laterVersions maps a file to the file that is its later version: the first
// that gave more than half of its records again, counting those the file
// itself had taken over from its own earlier versions.
func laterVersions(ctx context.Context, tx *sql.Tx) (map[int64]int64, error) {
	editions, err := readEditions(ctx, tx)
	if err != nil {
		return nil, err
	}
	later := map[int64]int64{}
	for i, e := range editions {
		for _, earlier := range editions[:i] {
			if later[earlier.id] != 0 || !e.repeats(earlier) {
				continue
			}
			later[earlier.id] = e.id
			maps.Copy(e.parts, earlier.parts)
		}
	}
	return later, nil
}

func (e *edition) repeats(earlier *edition) bool {
	n := 0
	for origin := range earlier.parts {
		n += e.again[origin]
	}
	return 2*n > earlier.records
}

// readEditions lists the files in the order of their import.
func readEditions(ctx context.Context, tx *sql.Tx) (editions []*edition, err error) {
	byID := map[int64]*edition{}
	err = each(ctx, tx, `SELECT f.id, coalesce(sum(t.fresh + t.unchanged + t.superseded), 0)
		FROM files f LEFT JOIN tallies t ON t.file_id = f.id GROUP BY f.id ORDER BY f.id`, func(scan scanner) error {
		e := &edition{again: map[int64]int{}}
		err := scan(&e.id, &e.records)
		e.parts = map[int64]bool{e.id: true}
		byID[e.id], editions = e, append(editions, e)
		return err
	})
	if err != nil {
		return nil, err
	}
	err = each(ctx, tx, "SELECT file_id, origin_id, records FROM given_again", func(scan scanner) error {
		var file, origin int64
		var n int
		err := scan(&file, &origin, &n)
		byID[file].again[origin] = n
		return err
	})
	return editions, err
}

// givenAgain records which earlier files the records of this one came from.
func (w *writer) givenAgain() error {
	for _, origin := range slices.Sorted(maps.Keys(w.again)) {
		_, err := w.tx.ExecContext(w.ctx, "INSERT INTO given_again (file_id, origin_id, records) VALUES (?, ?, ?)",
			w.fileID, origin, w.again[origin])
		if err != nil {
			return err
		}
	}
	return nil
}
