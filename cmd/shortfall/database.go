package main

import (
	"context"
	"errors"
	"io/fs"
	"os"

	"shortfall/ingest/store"
)

// openExisting opens a database that must be there already: a mistyped name
// must not make an empty one.
func (a *app) openExisting(ctx context.Context, path string) (*store.DB, error) {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return nil, &store.Error{
			Kind: store.CannotOpen, Path: path, Message: "there is no such database",
			Remedy: `Make one with "shortfall ingest --db ` + path + ` FILE...", or correct the name`,
		}
	}
	return store.Open(ctx, path)
}
