package keep

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"shortfall/ingest/scratch"
	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlite"
)

// Pack writes a copy with what is beside it as one .zip file: NAME.db, NAME.criteria.toml
// and so on, which lie beside each other as the program wants them once it is unpacked.
func Pack(w io.Writer, copied, name string) error {
	list, err := companions(copied)
	if err != nil {
		return err
	}
	z := zip.NewWriter(w)
	add := func(as, path string) error {
		in, err := os.Open(path)
		if err != nil {
			return err
		}
		defer in.Close()
		out, err := z.Create(as)
		if err != nil {
			return err
		}
		_, err = io.Copy(out, in)
		return err
	}
	if err := add(name+ending, copied); err != nil {
		return err
	}
	for _, more := range list {
		if err := add(name+more, copied+filepath.FromSlash(more)); err != nil {
			return err
		}
	}
	return z.Close()
}

// MostCopy bytes of a copy that is taken in, and mostParts of a packed one.
const (
	MostCopy  = 8 << 30
	mostParts = 2000
)

// ErrNoCopy: a file is neither a database nor a packed copy.
var ErrNoCopy = errors.New("this file is no copy of records: give a .zip file that this page made, or a database")

// TakeIn makes a copy that a person has elsewhere one of the copies of a database. Its
// records are read through first; the database itself is not touched.
func (h *Home) TakeIn(ctx context.Context, from, database string, now time.Time, progress store.Progress) error {
	head := make([]byte, 16)
	f, err := os.Open(from)
	if err != nil {
		return err
	}
	defer f.Close()
	if _, err := io.ReadFull(f, head); err != nil {
		return ErrNoCopy
	}
	to, err := h.copyPath(database, now)
	if err != nil {
		return err
	}
	switch {
	case bytes.HasPrefix(head, []byte("SQLite format 3\x00")): // sqlite.org/fileformat.html, 1.3.1
		_, err = sqlite.Restore(ctx, from, to, progress)
		return err
	case !bytes.HasPrefix(head, []byte("PK")):
		return ErrNoCopy
	}
	dir, release, err := scratch.Folder(filepath.Dir(to))
	if err != nil {
		return err
	}
	defer release()
	db, err := unpack(from, dir)
	if err != nil {
		return err
	}
	if _, err := sqlite.Restore(ctx, db, to, progress); err != nil {
		return err
	}
	return copyBeside(Beside(db, ""), to, false)
}

// unpack writes the parts of a packed copy into a private folder, under names of ours,
// and gives the path of the database. A part that is none of a copy refuses the file.
func unpack(from, dir string) (string, error) {
	z, err := zip.OpenReader(from)
	if err != nil {
		return "", ErrNoCopy
	}
	defer z.Close()
	i := slices.IndexFunc(z.File, func(f *zip.File) bool { return strings.HasSuffix(f.Name, ending) })
	if i < 0 || len(z.File) > mostParts {
		return "", ErrNoCopy
	}
	name := strings.TrimSuffix(z.File[i].Name, ending)
	database := filepath.Join(dir, "records"+ending)
	for _, f := range z.File {
		if strings.HasSuffix(f.Name, "/") {
			continue // a folder
		}
		more, ok := strings.CutPrefix(f.Name, name)
		if !ok || !isPart(more) {
			return "", ErrNoCopy
		}
		to, most := Beside(database, filepath.FromSlash(more)), int64(mostBeside)
		if more == ending {
			to, most = database, MostCopy
		}
		if err := unpackOne(f, to, most); err != nil {
			return "", err
		}
	}
	return database, nil
}

// isPart reports what can follow the name in the names of the parts of a copy.
func isPart(more string) bool {
	if audit, ok := strings.CutPrefix(more, Audits+"/"); ok {
		return strings.HasSuffix(audit, auditEnding) && !strings.HasPrefix(audit, ".") && filepath.IsLocal(audit) && !strings.ContainsAny(audit, `/\:`)
	}
	return slices.Contains([]string{ending, Criteria, Earlier, Teeth, Paper}, more)
}

func unpackOne(f *zip.File, to string, most int64) error {
	if err := private(filepath.Dir(to)); err != nil {
		return err
	}
	in, err := f.Open()
	if err != nil {
		return ErrNoCopy
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	n, err := io.Copy(out, io.LimitReader(in, most+1))
	if cerr := out.Close(); err == nil {
		err = cerr
	}
	if err != nil || n > most {
		return errors.Join(ErrNoCopy, err)
	}
	return nil
}
