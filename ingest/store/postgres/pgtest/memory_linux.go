package pgtest

import "syscall"

// inMemory is a folder in memory with room for a server's tests, "" where there is none
// (shm_open(3) says where Linux has it): the file system is a quarter of what the kernel does
// for a server that syncs nothing.
func inMemory() string {
	const shared, room = "/dev/shm", 1 << 30
	var s syscall.Statfs_t
	if syscall.Statfs(shared, &s) != nil || s.Bavail*uint64(s.Bsize) < room || !reachable(shared) {
		return ""
	}
	return shared
}
