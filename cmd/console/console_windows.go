package console

import (
	"fmt"
	"io"
	"os"
	"unsafe"

	"golang.org/x/sys/windows"

	"shortfall/cmd/exit"
)

// The program belongs to the console, so that its verbs print in a terminal and a
// script waits for them; a program of windows (-H windowsgui) would do neither. A
// double click therefore gives it a console window of its own, which it lets go of as
// soon as the page is open.
var (
	kernel      = windows.NewLazySystemDLL("kernel32.dll")
	processList = kernel.NewProc("GetConsoleProcessList")
	freeConsole = kernel.NewProc("FreeConsole")
)

// ownConsole: nobody else is in the console window, so it goes with this program.
func ownConsole() bool {
	var ids [2]uint32
	n, _, _ := processList.Call(uintptr(unsafe.Pointer(&ids[0])), uintptr(len(ids)))
	return n == 1
}

// LeaveConsole closes a console window that only this program is in.
func LeaveConsole() {
	if ownConsole() {
		_, _, _ = freeConsole.Call()
	}
}

// Linger keeps a console window of the program's own open until what went wrong was read.
func Linger(code int, in io.Reader, out io.Writer) int {
	if code != exit.CodeOK && ownConsole() && len(os.Args) == 1 {
		fmt.Fprintln(out, "Press Enter to close this window.")
		_, _ = in.Read(make([]byte, 1))
	}
	return code
}
