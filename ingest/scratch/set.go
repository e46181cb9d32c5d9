package scratch

import (
	"io"
	"os"
	"path/filepath"
	"slices"
)

// Set is files that get their names together: each is made beside its place, and Place
// gives all of them their names or none. The zero Set is empty; Drop ends one that is not
// placed.
type Set struct {
	made    []staged
	folders []string
}

// staged is a file that is whole and has no name yet.
type staged struct {
	path    string // as it was named
	real    string // where links lead
	made    string
	fresh   bool // one that exists is not replaced
	release func()
}

// Folder names a folder that Place may make, in one that is there.
func (s *Set) Folder(path string) { s.folders = append(s.folders, filepath.Clean(path)) }

// Create adds a new file; Place fails where one exists (fs.ErrExist).
func (s *Set) Create(path string, write func(io.Writer) error) error {
	return s.build(path, func(made string) error { return fill(made, write) })
}

// Replace adds a file, new or in place of an old one, as the function Replace writes it. A
// device or a pipe is written to at once: what it was given cannot be taken back.
func (s *Set) Replace(path string, write func(io.Writer) error) error {
	real, info, err := Target(path)
	if err != nil {
		return err
	}
	if info != nil && !info.Mode().IsRegular() {
		return through(real, write)
	}
	return s.stage(staged{path: path, real: real}, func(made string) error { return fill(made, write) })
}

func (s *Set) build(path string, build func(made string) error) error {
	return s.stage(staged{path: path, real: path, fresh: true}, build)
}

// stage builds a file in a private folder beside its place, or beside the folder that its
// place will be in, and syncs it.
func (s *Set) stage(f staged, build func(made string) error) error {
	parent := filepath.Dir(f.real)
	if _, err := os.Stat(parent); err != nil && slices.Contains(s.folders, parent) {
		parent = filepath.Dir(parent)
	}
	Clean(parent)
	dir, release, err := Folder(parent)
	if err != nil {
		return err
	}
	whole := false
	defer func() { // after a panic of build too
		if !whole {
			release()
		}
	}()
	f.made, f.release = filepath.Join(dir, "file"), release
	made, err := os.OpenFile(f.made, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	if err := made.Close(); err != nil {
		return err
	}
	if err := build(f.made); err != nil {
		return err
	}
	if err := syncFile(f.made); err != nil {
		return err
	}
	whole = true
	s.made = append(s.made, f)
	return nil
}

// Place gives the files their names. Where one cannot have its own (failed says which) the
// others lose theirs again, and what had them before is put back. The Set is empty then.
func (s *Set) Place() (failed string, err error) {
	defer s.Drop()
	var undo []func()
	defer func() {
		if err == nil {
			return
		}
		for _, back := range slices.Backward(undo) {
			back()
		}
	}()
	for _, dir := range s.folders {
		if os.Mkdir(dir, 0o700) == nil { // one that cannot be made fails its files
			undo = append(undo, func() { _ = os.Remove(dir) })
		}
	}
	for _, f := range s.made {
		back, err := f.place(len(s.made) > 1)
		if err != nil {
			return f.path, err
		}
		undo = append(undo, back)
	}
	for _, f := range s.made {
		SyncFolder(filepath.Dir(f.real))
	}
	return "", nil
}

// place gives a file its name; back undoes that, where it was asked for.
func (f *staged) place(undo bool) (back func(), err error) {
	before := f.made + ".before"
	kept := undo && os.Link(f.real, before) == nil
	_, missing := os.Lstat(f.real)
	if f.fresh {
		err = Place(f.made, f.real)
	} else {
		err = os.Rename(f.made, f.real)
	}
	return func() {
		if kept {
			_ = os.Rename(before, f.real)
		} else if missing != nil { // on a file system without links the new file stays, whole
			_ = os.Remove(f.real)
		}
	}, err
}

// alone places a Set of one file that was added without error.
func (s *Set) alone(err error) error {
	if err != nil {
		return err
	}
	_, err = s.Place()
	return err
}

// Drop removes what is not in place.
func (s *Set) Drop() {
	for _, f := range s.made {
		f.release()
	}
	s.made, s.folders = nil, nil
}
