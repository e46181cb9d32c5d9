// Package inmemory finds room in memory for the files of tests: the file system is a quarter
// to a third of what the kernel does for a database.
//
// Place in the pipeline: none; imported by tests alone.
package inmemory

import (
	"os"
	"path/filepath"
)

// Reachable tells whether others may pass through all folders of a path.
func Reachable(path string) bool {
	for ; ; path = filepath.Dir(path) {
		info, err := os.Stat(path)
		if err != nil || info.Mode().Perm()&0o001 == 0 {
			return false
		}
		if path == filepath.Dir(path) {
			return true
		}
	}
}
