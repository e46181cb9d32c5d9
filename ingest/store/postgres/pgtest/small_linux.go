package pgtest

import (
	"fmt"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// Small makes an empty database on a disk of its own of so many MiB, which only root may
// mount; else the test is skipped.
func (s *Server) Small(t testing.TB, size int) (name string) {
	t.Helper()
	dir := filepath.Join(s.dir, "small")
	require.NoError(t, os.Mkdir(dir, 0o700))
	of := account()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, fmt.Sprintf("size=%dm,mode=700,uid=%d,gid=%d", size, of.uid, of.gid)); err != nil {
		t.Skip("a small file system cannot be mounted here:", err)
	}
	t.Cleanup(func() {
		s.Exec(t, "postgres", "DROP DATABASE IF EXISTS small WITH (FORCE)", "DROP TABLESPACE IF EXISTS small")
		require.NoError(t, syscall.Unmount(dir, syscall.MNT_DETACH)) // the server may keep a file open
	})
	s.Exec(t, "postgres", "CREATE TABLESPACE small LOCATION '"+dir+"'", "CREATE DATABASE small TABLESPACE small")
	return "small"
}
