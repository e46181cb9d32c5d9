package store

import (
	"context"
	"fmt"
)

// Copy says what a copy of a database was found to hold when it was read back.
type Copy struct {
	Path             string
	Cases, Movements int
	Bytes            int64
}

// Progress is told how much of a copy is made, in units of the database's own.
type Progress func(done, all int)

// Copier is a Store that can be copied to a file while it is used.
type Copier interface {
	// Backup writes a copy as of one moment to a new file and reads it back; a file
	// that exists is never replaced (fs.ErrExist).
	Backup(ctx context.Context, path string, progress Progress) (Copy, error)
}

// Backup copies a database to a new file, where its kind can be copied so.
func Backup(ctx context.Context, db Store, path string, progress Progress) (Copy, error) {
	c, ok := db.(Copier)
	if !ok {
		return Copy{}, &Error{
			Kind: Other, Path: db.Path(), Message: fmt.Sprintf("a database of this kind (%T) cannot be copied to a file", db),
			Remedy: "Copy it by the means of the database program",
		}
	}
	return c.Backup(ctx, path, progress)
}
