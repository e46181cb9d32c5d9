// Package scratch writes a file whole or not at all, and the files of a Set all or none.
// Until they are whole they lie in private folders beside their places, readable by their
// owner alone; what a killed run left there is removed by the next one that writes to the
// same folder.
//
// Place in the pipeline: beneath everything that writes files. It imports
// nothing of the project.
package scratch

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"time"
)

// What folders for files that are not finished are called, and what holds them.
const (
	Prefix   = ".shortfall-"
	LockName = "lock"
	// Grace covers the moments between making a folder and locking it; only an
	// older one without a lock can be a leftover.
	Grace = time.Minute
)

// Create writes a new file; one that exists is an error (fs.ErrExist).
func Create(path string, write func(io.Writer) error) error {
	return Build(path, func(made string) error { return fill(made, write) })
}

// Build is Create for what is made by name: build fills the empty file at the path
// it is given, and leaves it closed.
func Build(path string, build func(made string) error) error {
	var s Set
	return s.alone(s.build(path, build))
}

// Place gives a file that was made beside it the name path; one that exists is an
// error (fs.ErrExist).
func Place(made, path string) error {
	// A link does not replace, where a rename would.
	err := os.Link(made, path)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	if _, err := os.Lstat(path); err == nil { // a file system without links
		return &fs.PathError{Op: "create", Path: path, Err: fs.ErrExist}
	}
	return os.Rename(made, path)
}

// Replace writes a file, new or in place of an old one. Through a symbolic link
// the file it points to is replaced and the link stays; a device or a pipe is
// written to.
func Replace(path string, write func(io.Writer) error) error {
	var s Set
	return s.alone(s.Replace(path, write))
}

// Read reads a plain file of no more than most bytes. A folder, a device or a pipe
// is refused before it is opened, since opening a pipe can wait for ever.
func Read(path string, most int64) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	refuse := func(why string) error { return &fs.PathError{Op: "read", Path: path, Err: errors.New(why)} }
	switch {
	case info.IsDir():
		return nil, refuse("this is a folder")
	case !info.Mode().IsRegular():
		return nil, refuse("this is no plain file")
	case info.Size() > most:
		return nil, refuse(tooLarge(most))
	case info.Size() == 0: // what a system makes up while it is read, as in /proc, can wait for ever too
		return nil, nil
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, most+1))
	if err == nil && int64(len(data)) > most { // it grows while it is read
		err = refuse(tooLarge(most))
	}
	return data, err
}

func tooLarge(most int64) string {
	if most < 1<<20 {
		return fmt.Sprintf("it is larger than %d bytes", most)
	}
	return fmt.Sprintf("it is larger than %d MiB", most>>20)
}

// Target follows symbolic links to where a path leads, existing yet or not;
// info is nil where nothing is there.
func Target(path string) (real string, info fs.FileInfo, err error) {
	for range 40 { // as many links as Linux follows (path_resolution(7))
		info, err := os.Lstat(path)
		if errors.Is(err, fs.ErrNotExist) {
			return path, nil, nil
		}
		if err != nil {
			return "", nil, err
		}
		if info.Mode()&fs.ModeSymlink == 0 {
			return path, info, nil
		}
		to, err := os.Readlink(path)
		if err != nil {
			return "", nil, err
		}
		if !filepath.IsAbs(to) {
			to = filepath.Join(filepath.Dir(path), to)
		}
		path = to
	}
	return "", nil, &fs.PathError{Op: "open", Path: path, Err: errors.New("too many symbolic links")}
}

// through writes to what is there and is no plain file.
func through(path string, write func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	return errors.Join(write(f), f.Close())
}

// fill writes to a file that stage made.
func fill(made string, write func(io.Writer) error) error {
	f, err := os.OpenFile(made, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	defer f.Close() // again where write panics
	if err := write(f); err != nil {
		return err
	}
	return f.Close()
}

func syncFile(path string) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// SyncFolder makes the names in a folder last; not every system can, and the
// files are whole either way.
func SyncFolder(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync()
		d.Close()
	}
}

// Folder makes a private folder (mode 0700) that no other run removes until
// release does.
func Folder(parent string) (dir string, release func(), err error) {
	dir, err = os.MkdirTemp(parent, Prefix)
	if err != nil {
		return "", nil, err
	}
	lock, err := hold(dir)
	if err != nil {
		return "", nil, errors.Join(err, os.RemoveAll(dir))
	}
	live.Store(dir, lock)
	return dir, func() {
		lock.Close()
		os.RemoveAll(dir)
		live.Delete(dir)
	}, nil
}

// create makes a file that nobody else made.
func create(path string) (*os.File, error) {
	return os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_RDWR, 0o600)
}

// live are the private folders of this process, each with its lock.
var live sync.Map

// Abandon removes what this process has not put in place, for a run that is cut off: what
// still writes there writes to no name.
func Abandon() {
	live.Range(func(dir, lock any) bool {
		lock.(*os.File).Close() // some systems remove no file that is open
		os.RemoveAll(dir.(string))
		return true
	})
}

// Clean removes private folders of killed runs. One that is in use, or that
// cannot be looked into, stays.
func Clean(parent string) {
	dirs, err := filepath.Glob(filepath.Join(escape(parent), Prefix+"*"))
	if err != nil {
		return
	}
	for _, dir := range dirs {
		if info, err := os.Lstat(dir); err == nil && info.IsDir() && ours(info) && left(dir, info) {
			os.RemoveAll(dir)
		}
	}
}

// escape takes the meaning from characters that a pattern has a meaning for.
func escape(path string) string {
	out := make([]rune, 0, len(path))
	for _, r := range path {
		if (r == '*' || r == '?' || r == '[' || r == '\\') && filepath.Separator != '\\' {
			out = append(out, '\\')
		}
		out = append(out, r)
	}
	return string(out)
}

// left reports a folder whose run has ended.
func left(dir string, info fs.FileInfo) bool {
	lock, err := os.OpenFile(filepath.Join(dir, LockName), os.O_RDWR, 0)
	if err != nil {
		return errors.Is(err, fs.ErrNotExist) && time.Since(info.ModTime()) > Grace
	}
	defer lock.Close()
	return free(lock)
}
