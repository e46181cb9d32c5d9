package keep

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"shortfall/ingest/scratch"
)

// What lies beside a database under its name: targets and changes, as the command line
// takes them with --criteria, their version before, and the folder of audits that were
// kept. The key of pseudonyms (.key) is no part of a copy: whoever has both can tell
// whose the codes are.
const (
	Criteria = ".criteria.toml"
	Earlier  = ".criteria.before.toml"
	Audits   = ".audits"
	// Teeth is the notation in which the practice has its teeth shown.
	Teeth = ".teeth.txt"
	// Paper is the size of the pages that the practice prints on.
	Paper = ".paper.txt"
)

const auditEnding = ".json"

// mostBeside bytes of one of these files.
const mostBeside = 256 << 20

// Beside is the path of what lies beside a database.
func Beside(database, ending string) string {
	return strings.TrimSuffix(database, filepath.Ext(database)) + ending
}

// companions lists what lies beside under a name: ".criteria.toml", ".audits/NAME.json".
func companions(name string) (out []string, err error) {
	for _, ending := range []string{Criteria, Earlier, Teeth, Paper} {
		if info, err := os.Lstat(name + ending); err == nil && info.Mode().IsRegular() {
			out = append(out, ending)
		}
	}
	entries, err := os.ReadDir(name + Audits)
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	for _, e := range entries {
		if e.Type().IsRegular() && filepath.Ext(e.Name()) == auditEnding {
			out = append(out, Audits+"/"+e.Name())
		}
	}
	return out, err
}

// copyBeside copies what lies beside one name to beside another. Targets take the place
// of those that are there where replace is true, and else are left as they are; an audit
// that is there stays in any case.
func copyBeside(from, to string, replace bool) error {
	list, err := companions(from)
	if err != nil {
		return err
	}
	for _, ending := range list {
		target := to + filepath.FromSlash(ending)
		if err := os.MkdirAll(filepath.Dir(target), 0o700); err != nil { // one that is there is somebody's
			return err
		}
		put := scratch.Create
		if replace && !strings.HasPrefix(ending, Audits) {
			put = scratch.Replace
		}
		data, err := scratch.Read(from+filepath.FromSlash(ending), mostBeside)
		if err != nil {
			return err
		}
		err = put(target, func(w io.Writer) error { _, err := w.Write(data); return err })
		if err != nil && !errors.Is(err, fs.ErrExist) {
			return err
		}
	}
	return nil
}

// PutBack puts what a copy has beside its records beside the database, after what is
// there was copied to beside aside, where that is a path. A copy of records alone
// changes nothing.
func PutBack(copied, database, aside string) error {
	list, err := companions(copied)
	if err != nil || len(list) == 0 {
		return err
	}
	here := Beside(database, "")
	if aside != "" {
		if err := copyBeside(here, aside, false); err != nil {
			return err
		}
	}
	return copyBeside(copied, here, true)
}
