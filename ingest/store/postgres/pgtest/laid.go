package pgtest

import (
	"archive/tar"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// lay lays out the data of an empty server. To make them takes ten times as long as to unpack
// them, so that tests keep them for one another.
func (s *Server) lay(t testing.TB) {
	t.Helper()
	kept := s.kept()
	if kept != "" && s.unpack(kept) == nil {
		return
	}
	require.NoError(t, os.RemoveAll(s.data()))
	out, err := s.initdb(s.data()).CombinedOutput()
	require.NoError(t, err, "%s", out)
	if kept != "" {
		_ = pack(kept, s.data()) // the next test then makes them again
	}
}

// initdb makes data whose log of writes is in files of the least size, as the databases are small
// (https://www.postgresql.org/docs/15/app-initdb.html).
func (s *Server) initdb(data string) *exec.Cmd {
	return s.command("initdb", "-D", data, "-U", "owner", "-A", "trust", "-E", "UTF8", "--no-sync", "--locale=C", "--wal-segsize=1")
}

// kept is the file in which the data of an empty server of this release, made in this way, are
// kept, be it there or not; "" where the account has no place for such files.
func (s *Server) kept() string {
	caches, err := os.UserCacheDir()
	if err != nil {
		return ""
	}
	program, err := os.Stat(filepath.Join(s.bin, "postgres"))
	if err != nil {
		return ""
	}
	of := sha256.Sum256(fmt.Append(nil, s.initdb("").Args, program.Size(), program.ModTime()))
	return filepath.Join(caches, "shortfall-tests", "postgres-"+hex.EncodeToString(of[:8])+".tar")
}

// pack packs a folder. The file has its name only once it is whole and on the disk.
func pack(file, folder string) (err error) {
	if err := os.MkdirAll(filepath.Dir(file), 0o700); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(file), "making-")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	defer f.Close()
	w := tar.NewWriter(f)
	if err := w.AddFS(os.DirFS(folder)); err != nil {
		return err
	}
	if err := w.Close(); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	return os.Rename(f.Name(), file)
}

// unpack puts what was packed into the place of the data, for the account of the server alone.
func (s *Server) unpack(file string) error {
	f, err := os.Open(file)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := s.put(s.data(), true, nil); err != nil {
		return err
	}
	for r := tar.NewReader(f); ; {
		h, err := r.Next()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		if !filepath.IsLocal(h.Name) {
			return fs.ErrInvalid
		}
		if err := s.put(filepath.Join(s.data(), h.Name), h.FileInfo().IsDir(), r); err != nil {
			return err
		}
	}
}

// put makes a folder, or a file of what is read.
func (s *Server) put(path string, folder bool, from io.Reader) error {
	if folder {
		if err := os.Mkdir(path, 0o700); err != nil {
			return err
		}
		return hand(path)
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := hand(path); err != nil {
		return err
	}
	_, err = io.Copy(f, from)
	return err
}
