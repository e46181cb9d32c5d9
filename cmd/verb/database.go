package verb

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"shortfall/cmd/exit"
	"shortfall/ingest/store"
	"shortfall/ingest/store/postgres"
	"shortfall/ingest/store/sqlite"
)

// servers are the stores that an address names; anything else is the path of a file.
var servers = []struct {
	names func(address string) bool
	open  func(ctx context.Context, address string) (store.Store, error)
}{
	{postgres.Is, func(ctx context.Context, address string) (store.Store, error) { return postgres.Open(ctx, address) }},
}

// openStore opens a database, or makes it. The options are for files.
func (a *app) openStore(ctx context.Context, address string, options ...sqlite.Option) (store.Store, error) {
	if open := serverOf(address); open != nil {
		return open(ctx, address)
	}
	return sqlite.Open(ctx, address, append(options, sqlite.OnWait(a.waits(address)))...)
}

// serverOf opens what an address of a server names; nil for the path of a file.
func serverOf(address string) func(context.Context, string) (store.Store, error) {
	for _, s := range servers {
		if s.names(address) {
			return s.open
		}
	}
	return nil
}

var errNoDatabase = exit.Usage("needs a database: --db FILE")

// openExisting opens a database that must be named and be there already: a mistyped name
// must not make an empty one.
func (a *app) openExisting(ctx context.Context, path string, options ...sqlite.Option) (store.Store, error) {
	if path == "" {
		return nil, errNoDatabase
	}
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) && serverOf(path) == nil {
		return nil, &store.Error{
			Kind: store.CannotOpen, Path: path, Message: "there is no such database",
			Remedy: `Make one with "shortfall ingest --db ` + path + ` FILE...", or correct the name`,
		}
	}
	db, err := a.openStore(ctx, path, options...)
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
