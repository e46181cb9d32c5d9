package keep

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// held locks the file, or reports that another has the lock (LockFileEx).
func held(f *os.File) bool {
	err := windows.LockFileEx(windows.Handle(f.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, &windows.Overlapped{})
	return errors.Is(err, windows.ERROR_LOCK_VIOLATION)
}
