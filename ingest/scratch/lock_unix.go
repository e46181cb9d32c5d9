//go:build unix

package scratch

import (
	"io/fs"
	"os"
	"syscall"
)

// hold locks until the file is closed or the process ends. A file system that
// cannot lock leaves the folder for good at worst.
func hold(f *os.File) { _ = syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) }

// free reports a lock that nobody holds.
func free(f *os.File) bool { return syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) == nil }

// ours: a private folder of this user.
func ours(info fs.FileInfo) bool {
	st, ok := info.Sys().(*syscall.Stat_t)
	return ok && int(st.Uid) == os.Getuid() && info.Mode().Perm() == 0o700
}
