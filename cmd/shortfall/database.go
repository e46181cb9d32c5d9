package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlite"
)

// openExisting opens a database that must be there already: a mistyped name
// must not make an empty one.
func (a *app) openExisting(ctx context.Context, path string) (store.Store, error) {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return nil, &store.Error{
			Kind: store.CannotOpen, Path: path, Message: "there is no such database",
			Remedy: `Make one with "shortfall ingest --db ` + path + ` FILE...", or correct the name`,
		}
	}
	db, err := sqlite.Open(ctx, path, sqlite.OnWait(a.waits(path)))
	if err != nil {
		return nil, err
	}
	a.notify(db)
	return db, nil
}

// waits says for whom a database is waited for.
func (a *app) waits(path string) func(string) {
	return func(text string) { fmt.Fprintf(a.err, "shortfall: %s: %s\n", path, text) }
}

// notify says what a person should know of the opening of a database.
func (a *app) notify(db store.Store) {
	for _, n := range db.Notices() {
		fmt.Fprintf(a.err, "shortfall: %s: %s\n", db.Path(), n)
	}
}
