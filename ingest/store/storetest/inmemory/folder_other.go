//go:build !linux

package inmemory

// Folder is one in memory, "" where the system is not known to have one.
func Folder() string { return "" }
