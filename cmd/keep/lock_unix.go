//go:build unix

package keep

import (
	"errors"
	"os"
	"syscall"
)

// held locks the file, or reports that another has the lock (flock(2)).
func held(f *os.File) bool {
	return errors.Is(syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB), syscall.EWOULDBLOCK)
}
