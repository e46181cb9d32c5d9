// Package keep knows where the databases of a person lie: one folder of the user's,
// the databases opened before, their copies, and whether the page of that folder is
// open already.
//
// Place in the pipeline: beneath the verbs and the page, beside neither SQL nor HTTP.
// Copies are made and put back by ingest/store/sqlite.
package keep

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
)

// Folder names a folder in place of the usual one, for a shared machine or a test.
const Folder = "SHORTFALL_FOLDER"

// Home is the folder of one person.
type Home struct{ folder string }

// Open finds the folder of the user, or makes it, readable by its owner alone.
func Open() (*Home, error) {
	folder := os.Getenv(Folder)
	if folder == "" {
		var err error
		if folder, err = usual(runtime.GOOS, os.Getenv); err != nil {
			return nil, fmt.Errorf("%w; name a folder for your records in the environment variable %s", err, Folder)
		}
	}
	return At(folder)
}

// At makes the folder a home.
func At(folder string) (*Home, error) {
	abs, err := filepath.Abs(folder)
	if err != nil {
		return nil, err
	}
	if err := private(abs); err != nil {
		return nil, fmt.Errorf("the folder for your records cannot be used: %w; give yourself write permission to it, or name another one in the environment variable %s", err, Folder)
	}
	return &Home{abs}, nil
}

// usual is the folder of a system's convention for what a program keeps for a user and
// no other machine needs: XDG Base Directory Specification 0.8 on Linux and others;
// Application Support (Apple, File System Programming Guide) on macOS; the local, not
// the roaming, application data (FOLDERID_LocalAppData) on Windows, since a roaming
// folder is copied to servers.
func usual(system string, env func(string) string) (string, error) {
	const name = "shortfall"
	join := func(of string, more ...string) (string, error) {
		base := env(of)
		if base == "" || !filepath.IsAbs(base) && system == runtime.GOOS {
			return "", fmt.Errorf("%s is not set to a folder", of)
		}
		return filepath.Join(append([]string{base}, more...)...), nil
	}
	switch system {
	case "windows":
		return join("LOCALAPPDATA", name)
	case "darwin", "ios":
		return join("HOME", "Library", "Application Support", name)
	}
	// A path that is not absolute is to be ignored (the specification, "Environment variables").
	if base := env("XDG_DATA_HOME"); filepath.IsAbs(base) {
		return filepath.Join(base, name), nil
	}
	return join("HOME", ".local", "share", name)
}

// private makes a folder that its owner alone can look into. One that is there is
// the program's own and is closed to others.
func private(dir string) error {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	info, err := os.Stat(dir)
	switch {
	case err != nil:
		return err
	case runtime.GOOS == "windows": // the folder above it is private already
		return nil
	case info.Mode().Perm()&0o077 != 0:
		return os.Chmod(dir, 0o700)
	case info.Mode().Perm()&0o700 != 0o700:
		return &os.PathError{Op: "open", Path: dir, Err: errors.New("its owner may not write to it")}
	}
	return nil
}

// Folder where new databases go.
func (h *Home) Folder() string { return h.folder }
