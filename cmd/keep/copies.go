package keep

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"shortfall/ingest/store"
)

const (
	copiesName = "copies"
	copyEnding = ".backup"
)

// Kept is a copy of a database in the folder.
type Kept struct {
	Path  string
	Made  time.Time
	Bytes int64
	// Targets and Audits say what the copy has beside the records.
	Targets bool
	Audits  int
}

// BackUp copies a database, as it is now, and what lies beside it into the folder of
// copies, under its name and the time.
func (h *Home) BackUp(ctx context.Context, db store.Store, now time.Time, progress store.Progress) (store.Copy, error) {
	path, err := h.copyPath(db.Path(), now)
	if err != nil {
		return store.Copy{}, err
	}
	made, err := store.Backup(ctx, db, path, progress) // what is wrong with the place, it says
	if err != nil {
		return made, err
	}
	return made, copyBeside(Beside(db.Path(), ""), path, false)
}

// copiesOf is the folder of the copies of a database. Those of databases elsewhere have one
// for each place: two of one name must not be offered each other's.
func (h *Home) copiesOf(database string) string {
	dir := filepath.Join(h.folder, copiesName)
	if at := filepath.Dir(database); at != h.folder {
		sum := sha256.Sum256([]byte(at))
		dir = filepath.Join(dir, hex.EncodeToString(sum[:6]))
	}
	return dir
}

// copyPath is where a new copy of a database goes; nothing is there yet.
func (h *Home) copyPath(database string, now time.Time) (string, error) {
	dir := h.copiesOf(database)
	if err := private(dir); err != nil {
		return "", err
	}
	base := filepath.Join(dir, stemOf(database)+now.Format(" 2006-01-02 150405"))
	path := base + copyEnding
	for i := 2; ; i++ {
		if _, err := os.Lstat(path); err != nil {
			return path, nil
		}
		path = fmt.Sprintf("%s-%d%s", base, i, copyEnding)
	}
}

// What follows the name of the database in the names of its copies: in the folder of
// copies, and beside the database, where a restore and a change of schema put them.
var (
	inFolder = regexp.MustCompile(`^ \d{4}-\d{2}-\d{2} \d{6}(-\d+)?\.backup$`)
	beside   = regexp.MustCompile(`^\.(before-restore|schema-\d+)\.backup(-\d+)?$`)
)

// Copies of the database, the latest first.
func (h *Home) Copies(database string) ([]Kept, error) {
	out, err := copiesIn(h.copiesOf(database), stemOf(database), inFolder)
	if err != nil {
		return nil, err
	}
	more, err := copiesIn(filepath.Dir(database), stemOf(database), beside)
	out = append(out, more...)
	slices.SortStableFunc(out, func(a, b Kept) int { return b.Made.Compare(a.Made) })
	return out, err
}

func copiesIn(dir, stem string, follows *regexp.Regexp) ([]Kept, error) {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var out []Kept
	for _, e := range entries {
		rest, ok := strings.CutPrefix(e.Name(), stem)
		if !ok || !follows.MatchString(rest) {
			continue
		}
		if info, err := e.Info(); err == nil && info.Mode().IsRegular() {
			k := Kept{Path: filepath.Join(dir, e.Name()), Made: info.ModTime(), Bytes: info.Size()}
			list, err := companions(k.Path)
			if err != nil {
				return nil, err
			}
			for _, more := range list {
				k.Targets = k.Targets || more == Criteria
				if strings.HasPrefix(more, Audits) {
					k.Audits++
				}
			}
			out = append(out, k)
		}
	}
	return out, err
}

func stemOf(path string) string {
	name := filepath.Base(path)
	return strings.TrimSuffix(name, filepath.Ext(name))
}
