//go:build !windows

package console

import "io"

// LeaveConsole has nothing to leave: no other system opens a window for the program
// that it could close.
func LeaveConsole() {}

// Linger does not: the window of a terminal is not the program's.
func Linger(code int, _ io.Reader, _ io.Writer) int { return code }
