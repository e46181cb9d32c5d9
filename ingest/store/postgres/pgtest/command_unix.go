//go:build unix

package pgtest

import (
	"os/exec"
	"path/filepath"
	"syscall"
)

func (s *Server) command(name string, args ...string) *exec.Cmd {
	if !filepath.IsAbs(name) {
		name = filepath.Join(s.bin, name)
	}
	c := exec.Command(name, args...)
	c.Dir = s.dir
	if as := account(); as.other {
		c.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(as.uid), Gid: uint32(as.gid)}}
	}
	return c
}
