//go:build unix

package sqlite

import (
	"fmt"
	"os"
	"syscall"
)

// inodeOf gives the number of a file in its file system.
func inodeOf(path string) (string, bool) {
	info, err := os.Stat(path)
	if err != nil {
		return "", false
	}
	s, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return "", false
	}
	return fmt.Sprint(s.Ino), true
}
