package keep

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"unicode"
	"unicode/utf8"
)

const (
	ending      = ".db"
	longestName = 80 // characters; file systems hold 255 bytes
)

// New is the path of a database for a practice of the name; nothing is there yet.
func (h *Home) New(name string) (string, error) {
	name = strings.TrimSpace(name)
	if err := goodName(name); err != nil {
		return "", err
	}
	path := filepath.Join(h.folder, name+ending)
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		return "", fmt.Errorf("there is a practice of the name %s already; open it, or choose another name", name)
	}
	return path, nil
}

// goodName refuses what is no file name on one of the systems, so that a folder can
// be carried from one to another (Microsoft, "Naming Files, Paths, and Namespaces").
func goodName(name string) error {
	stem, _, _ := strings.Cut(strings.ToUpper(name), ".")
	switch {
	case name == "":
		return errors.New("give the practice a name")
	case !utf8.ValidString(name) || utf8.RuneCountInString(name) > longestName:
		return fmt.Errorf("give the practice a name of at most %d characters", longestName)
	case strings.HasPrefix(name, ".") || strings.HasPrefix(name, "-") || strings.HasSuffix(name, "."):
		return errors.New("the name of a practice begins with a letter or a digit, and does not end in a full stop")
	case reserved[strings.TrimRight(stem, " ")]:
		return errors.New("this name is reserved by the system; choose another one")
	}
	for _, r := range name {
		if !unicode.IsPrint(r) || strings.ContainsRune(`/\:*?"<>|`, r) {
			return errors.New(`the name of a practice can hold no / \ : * ? " < > |`)
		}
	}
	return nil
}

var reserved = func() map[string]bool {
	out := map[string]bool{"CON": true, "PRN": true, "AUX": true, "NUL": true}
	for _, port := range []string{"COM", "LPT"} {
		for _, n := range "0123456789¹²³" {
			out[port+string(n)] = true
		}
	}
	return out
}()
