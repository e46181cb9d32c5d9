//go:build unix

package scratch

import (
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// hold locks a folder until the file is closed or the process ends. A file system that
// cannot lock leaves the folder for good at worst. It is locked under another name first:
// a lock file that stands is a lock held.
func hold(dir string) (*os.File, error) {
	early := filepath.Join(dir, LockName+".new")
	f, err := create(early)
	if err != nil {
		return nil, err
	}
	_ = syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
	if err := os.Rename(early, filepath.Join(dir, LockName)); err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

// free reports a lock that nobody holds.
func free(f *os.File) bool { return syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) == nil }

// ours: a private folder of this user.
func ours(info fs.FileInfo) bool {
	st, ok := info.Sys().(*syscall.Stat_t)
	return ok && int(st.Uid) == os.Getuid() && info.Mode().Perm() == 0o700
}
