package verb

import (
	"os"
	"path/filepath"
	"slices"
	"strings"

	"shortfall/cmd/exit"
	"shortfall/ingest/sheet"
)

// inFolders puts the spreadsheets of a folder in its place, in the order of
// their names; folders in it, hidden files and the lock files of spreadsheet
// programs are left out. A folder that holds none is an error.
func inFolders(paths []string) ([]string, error) {
	var out []string
	for _, path := range paths {
		info, err := os.Stat(path)
		if err != nil || !info.IsDir() {
			out = append(out, path) // what is wrong with it is said where it is read
			continue
		}
		entries, err := os.ReadDir(path)
		if err != nil {
			return nil, exit.Unreadable(err)
		}
		before := len(out)
		for _, e := range entries {
			name := e.Name()
			if e.IsDir() || strings.HasPrefix(name, ".") || strings.HasPrefix(name, "~$") || !slices.Contains(sheet.Spreadsheets, strings.ToLower(filepath.Ext(name))) {
				continue
			}
			out = append(out, filepath.Join(path, name))
		}
		if len(out) == before {
			return nil, exit.Usage("the folder %s holds no spreadsheet (%s)", path, strings.Join(sheet.Spreadsheets, ", "))
		}
	}
	return out, nil
}
