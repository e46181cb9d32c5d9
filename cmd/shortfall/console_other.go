//go:build !windows

package main

import "io"

// leaveConsole has nothing to leave: no other system opens a window for the program
// that it could close.
func leaveConsole() {}

// linger does not: the window of a terminal is not the program's.
func linger(code int, _ io.Reader, _ io.Writer) int { return code }
