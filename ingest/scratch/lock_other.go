//go:build !unix

package scratch

import (
	"io/fs"
	"os"
)

// hold needs no lock: an open file cannot be removed here.
func hold(*os.File) {}

// free lets the removal try; it fails where the run still has the file open.
func free(f *os.File) bool {
	name := f.Name()
	f.Close()
	return os.Remove(name) == nil
}

func ours(fs.FileInfo) bool { return true }
