package keep

import (
	"errors"
	"os"
	"time"
)

// errHeld: another program has the lock.
var errHeld = errors.New("another program is using the folder")

// try locks a file until it is closed or the process ends. A file system that cannot
// lock is used all the same, by one program at a time as its user sees to it.
func try(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, err
	}
	if held(f) {
		f.Close()
		return nil, errHeld
	}
	return f, nil
}

// turnTime is how long others may take with a short file; a busy machine takes seconds.
const turnTime = time.Minute

// wait locks a file, in its turn.
func wait(path string) (*os.File, error) {
	for begun := time.Now(); ; time.Sleep(lookAgain) {
		f, err := try(path)
		if !errors.Is(err, errHeld) || time.Since(begun) > turnTime {
			return f, err
		}
	}
}
