//go:build !unix

package pgtest

import (
	"os/exec"
	"path/filepath"
)

func (s *Server) command(name string, args ...string) *exec.Cmd {
	c := exec.Command(filepath.Join(s.bin, name), args...)
	c.Dir = s.dir
	return c
}
