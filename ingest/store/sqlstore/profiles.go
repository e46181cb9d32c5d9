package sqlstore

import (
	"context"

	"shortfall/ingest/store"
)

// Profiles lists what was answered about the layout of sheets.
func (db *Records) Profiles(ctx context.Context) ([]store.Profile, error) {
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
func (db *Records) PutProfile(ctx context.Context, p store.Profile) error {
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO profiles (header, name, content) VALUES (?, ?, ?)
			ON CONFLICT (header) DO UPDATE SET name = excluded.name, content = excluded.content`, p.Header, p.Name, p.Content)
		return err
	})
}

// RemoveProfile forgets a profile, named by its header hash or its beginning.
func (db *Records) RemoveProfile(ctx context.Context, header string) error {
	return db.write(ctx, func(tx *Tx) error {
		done, err := tx.ExecContext(ctx, "DELETE FROM profiles WHERE ?1 <> '' AND substr(header, 1, length(?1)) = ?1", header)
		if err != nil {
			return err
		}
		if n, err := done.RowsAffected(); err != nil || n > 0 {
			return err
		}
		return db.notThere("the database has no such profile", "profiles")
	})
}
