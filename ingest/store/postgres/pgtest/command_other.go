//go:build !unix

package pgtest

import (
	"os/exec"
	"path/filepath"
)

func (s *Server) command(name string, args ...string) *exec.Cmd {
	if !filepath.IsAbs(name) {
		name = filepath.Join(s.bin, name)
	}
	c := exec.Command(name, args...)
	c.Dir = s.dir
	return c
}
