package sqlite

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	driver "modernc.org/sqlite"

	"shortfall/ingest/scratch"
	"shortfall/ingest/store"
)

// Restored is what a restore did.
type Restored struct {
	store.Copy        // what the database holds now
	Aside      string // where it lies as it was before, "" if there was none
	Broken     bool   // what lies aside was damaged, and is kept as it was found
}

// beforeRestore is in the name of what lay in the place of a restored copy.
const beforeRestore = "before-restore"

// Restore puts the copy at from in the place of the database at path, which need
// not exist. The copy is read through first and stays as it is; the database is
// copied aside before a page of it is changed. A database that others have open
// changes for them from one moment to the next, or, after a crash at any moment,
// not at all: its pages are written in one transaction of SQLite. A damaged
// database of ours is set aside as it is and replaced whole; any other file is
// refused.
func Restore(ctx context.Context, from, path string, progress store.Progress, options ...Option) (Restored, error) {
	if same(from, path) {
		return Restored{}, &store.Error{
			Kind: store.CannotOpen, Path: path, Message: "the copy and the database are the same file",
			Remedy: "Name the copy, and the database that it is to take the place of",
		}
	}
	real, _, err := scratch.Target(path)
	if err != nil {
		return Restored{}, wrap(path, err)
	}
	dir, release, err := scratch.Folder(filepath.Dir(real))
	if err != nil {
		return Restored{}, copyFailed(path, err)
	}
	defer release()
	staged, err := filepath.Abs(filepath.Join(dir, "copy"))
	if err != nil {
		return Restored{}, wrap(path, err)
	}
	want, err := stage(ctx, from, staged)
	if err != nil {
		return Restored{}, err
	}
	done, err := putInPlace(ctx, staged, real, progress, options)
	if err != nil {
		return Restored{}, err
	}
	held, err := readBack(ctx, real, want)
	held.Path, done.Copy = path, held
	var e *store.Error
	if errors.As(err, &e) && done.Aside != "" {
		e.Remedy = "As it was before, the database is in " + done.Aside
	}
	return done, err
}

func same(a, b string) bool {
	infoA, errA := os.Stat(a)
	infoB, errB := os.Stat(b)
	return errA == nil && errB == nil && os.SameFile(infoA, infoB)
}

// stage makes a checked database of the newest schema of the copy.
func stage(ctx context.Context, from, staged string) (counts, error) {
	if _, err := readBack(ctx, from, nil); err != nil {
		return nil, err
	}
	source, err := openToRead(ctx, from)
	if err != nil {
		return nil, err
	}
	defer source.Close()
	if err := createPrivate(staged); err != nil {
		return nil, copyFailed(staged, err)
	}
	want, err := source.copyTo(ctx, staged, nil)
	if err != nil {
		return nil, copyFailed(staged, err)
	}
	if _, err := readBack(ctx, staged, want); err != nil {
		return nil, err
	}
	db, err := Open(ctx, staged) // brings an older one to the newest schema
	if err != nil {
		return nil, err
	}
	defer db.Close()
	if want, err = rowCounts(ctx, db.sql); err != nil {
		return nil, wrap(from, err)
	}
	return want, wrap(from, errors.Join(db.Close(), syncFile(staged)))
}

// putInPlace brings the staged copy to where it belongs, after what is there was put aside.
func putInPlace(ctx context.Context, staged, path string, progress store.Progress, options []Option) (Restored, error) {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return Restored{}, copyFailed(path, scratch.Place(staged, path))
	}
	db, err := Open(ctx, path, options...)
	if errors.Is(err, store.ErrDamaged) && IsOurs(path) {
		aside, err := setAside(path)
		if err == nil {
			err = swap(staged, path)
		}
		return Restored{Aside: aside, Broken: true}, err
	}
	if err != nil {
		var e *store.Error
		if errors.As(err, &e) && (e.Kind == store.NotDatabase || e.Kind == store.Foreign || e.Kind == store.Newer) {
			e.Remedy = "Move that file elsewhere or name another one; a copy takes the place of no other file than a database of this program"
		}
		return Restored{}, err
	}
	defer db.Close()
	aside := freeName(path, beforeRestore)
	if _, err := db.Backup(ctx, aside, nil); err != nil {
		return Restored{}, err
	}
	return Restored{Aside: aside}, wrap(path, db.takeOver(ctx, staged, progress))
}

// takeOver writes the pages of another database over this one in one transaction.
func (db *DB) takeOver(ctx context.Context, staged string, progress store.Progress) error {
	conn, err := db.sql.Conn(ctx)
	if err != nil {
		return err
	}
	defer conn.Close()
	return conn.Raw(func(c any) error {
		b, err := c.(interface {
			NewRestore(string) (*driver.Backup, error)
		}).NewRestore(dsn(staged, nil) + "&mode=ro")
		if err != nil {
			return err
		}
		return errors.Join(db.step(ctx, b, progress), b.Finish())
	})
}

// IsOurs reads the mark of the program from a file that this process has not open
// (https://www.sqlite.org/fileformat.html#the_database_header, offset 68).
func IsOurs(path string) bool {
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	var head [100]byte
	_, err = io.ReadFull(f, head[:])
	return err == nil && bytes.HasPrefix(head[:], []byte("SQLite format 3\x00")) && binary.BigEndian.Uint32(head[68:]) == applicationID
}

// setAside copies a damaged database as it is, and then takes its journal from
// beside it: SQLite would play that back into whatever takes the place of the
// database (https://www.sqlite.org/howtocorrupt.html, section 1.4).
func setAside(path string) (aside string, err error) {
	aside = freeName(path, beforeRestore)
	for _, more := range []string{"-journal", ""} {
		err := raw(path+more, aside+more)
		if err != nil && !(more != "" && errors.Is(err, fs.ErrNotExist)) {
			return "", copyFailed(aside+more, err)
		}
	}
	err = os.Remove(path + "-journal")
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	return aside, wrap(path, err)
}

// raw copies the bytes of a file to a new one.
func raw(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	return scratch.Create(to, func(w io.Writer) error {
		_, err := io.Copy(w, in)
		return err
	})
}

// swap gives the staged copy its name.
func swap(staged, path string) error {
	if err := os.Rename(staged, path); err != nil {
		return &store.Error{
			Kind: store.CannotOpen, Path: path, Message: "the copy could not be put in place", Err: err,
			Remedy: fmt.Sprintf("Close every program that has %s open, and try again", filepath.Base(path)),
		}
	}
	return wrap(path, syncFolder(path))
}
