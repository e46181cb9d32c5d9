//go:build !unix

package scratch

import (
	"io/fs"
	"os"
	"path/filepath"
)

// hold needs no lock: a file that is open can be neither removed nor renamed here.
func hold(dir string) (*os.File, error) { return create(filepath.Join(dir, LockName)) }

// free lets the removal try; it fails where the run still has the file open.
func free(f *os.File) bool {
	name := f.Name()
	f.Close()
	return os.Remove(name) == nil
}

func ours(fs.FileInfo) bool { return true }
