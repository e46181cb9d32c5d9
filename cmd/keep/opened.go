package keep

import (
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"shortfall/ingest/scratch"
)

const (
	openedName  = "opened.json"
	mostOpened  = 50
	largestList = 1 << 20 // bytes
)

// opened is the file of the databases opened before.
type opened struct {
	Version   int      `json:"version"`
	Databases []string `json:"databases"` // absolute paths, the latest first
}

// Known are the databases opened before, the latest first, whether they are still
// there or not, and after them those of the folder that are in no list.
func (h *Home) Known() ([]string, error) {
	list, _ := h.read()
	here, err := filepath.Glob(filepath.Join(pattern(h.folder), "*"+ending))
	if err != nil {
		return nil, err
	}
	for _, path := range here {
		info, err := os.Lstat(path)
		if err == nil && info.Mode().IsRegular() && !slices.Contains(list, path) {
			list = append(list, path)
		}
	}
	return list, nil
}

// Remember puts a database first among those opened before. Two programs at once wait
// for each other.
func (h *Home) Remember(path string) error {
	lock, err := wait(filepath.Join(h.folder, "opened.lock"))
	if err != nil {
		return err
	}
	defer lock.Close()
	list, sound := h.read()
	file := filepath.Join(h.folder, openedName)
	if !sound { // what is in it is not lost
		if err := os.Rename(file, file+".unreadable"); err != nil {
			return err
		}
	}
	list = append([]string{path}, slices.DeleteFunc(list, func(p string) bool { return p == path })...)
	return scratch.Replace(file, func(w io.Writer) error {
		e := json.NewEncoder(w)
		e.SetIndent("", "  ")
		e.SetEscapeHTML(false)
		return e.Encode(opened{1, list[:min(len(list), mostOpened)]})
	})
}

// read gives the list, empty where there is none; sound is false for a file that
// is not one.
func (h *Home) read() (list []string, sound bool) {
	b, err := scratch.Read(filepath.Join(h.folder, openedName), largestList)
	if err != nil {
		return nil, errors.Is(err, fs.ErrNotExist)
	}
	var o opened
	if json.Unmarshal(b, &o) != nil || o.Version != 1 {
		return nil, false
	}
	return slices.DeleteFunc(o.Databases, func(p string) bool { return !filepath.IsAbs(p) }), true
}

// pattern takes their meaning from the characters that a pattern has a meaning for.
func pattern(path string) string {
	if filepath.Separator == '\\' {
		return path
	}
	return strings.NewReplacer(`\`, `\\`, `*`, `\*`, `?`, `\?`, `[`, `\[`).Replace(path)
}
