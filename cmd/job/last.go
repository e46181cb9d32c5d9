package job

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime/debug"
	"slices"
	"sync"
	"time"

	"shortfall/audit/results"
	"shortfall/ingest/scratch"
	"shortfall/ingest/store"
	"shortfall/report"
)

// The results of the last audits of a file lie in one file beside it. It may be
// deleted at any time, holds nothing that an audit of the database would not tell,
// and is readable by its owner alone. A server has them within.
const (
	lastEnding = ".last"
	lastTitle  = "last results of shortfall" // in the header of the file
	// mostLast audits are kept, and never more than mostBytes of them.
	mostLast  = 4
	mostBytes = 32 << 20
)

// lastResults are those of one audit, packed: one that is kept beside others is not opened
// for them.
type lastResults struct {
	Key    string `json:"key"`
	Day    string `json:"day"`  // on which they were computed
	Size   int    `json:"size"` // bytes packed
	packed []byte
}

// within is a database that keeps last results itself, apart for everyone who uses it, and
// gives them up with whatever record changes. What cannot be kept is not.
type within interface {
	KeptResults(ctx context.Context, key string) (kept []byte, day string, err error)
	KeepResults(ctx context.Context, state, key, day string, results []byte) error
}

// kept gives the results of a key, and the day of their computation; nil where there
// are none. What is damaged or not ours gives none.
func kept(ctx context.Context, db Records, key string) (*results.Results, string) {
	if key == "" {
		return nil, ""
	}
	var packed []byte
	var day string
	if w, ok := db.(within); ok {
		var err error
		if packed, day, err = w.KeptResults(ctx, key); err != nil || packed == nil {
			return nil, ""
		}
	} else {
		list, _ := lastOf(db.Path())
		i := slices.IndexFunc(list, func(l lastResults) bool { return l.Key == key })
		if i < 0 {
			return nil, ""
		}
		packed, day = list[i].packed, list[i].Day
	}
	text, err := unpack(packed)
	if err != nil {
		return nil, ""
	}
	res, err := report.ReadJSON(bytes.NewReader(text))
	if err != nil {
		return nil, ""
	}
	return res, day
}

// keep puts the results of a state of the records before those kept already. Where they
// cannot be written they are not.
func keep(ctx context.Context, db Records, state, key string, res *results.Results) {
	var text, packed bytes.Buffer
	if report.JSON(&text, res) != nil || pack(&packed, text.Bytes()) != nil {
		return
	}
	day := time.Now().Format(time.DateOnly)
	if w, ok := db.(within); ok {
		_ = w.KeepResults(ctx, state, key, day, packed.Bytes()) // the next audit computes again
		return
	}
	if text.Len() <= mostBytes {
		keepBeside(db.Path(), lastResults{key, day, packed.Len(), packed.Bytes()})
	}
}

// keepBeside keeps results in the file beside a database, unless a file of somebody else is
// in its place, or the database is for reading only.
func keepBeside(path string, one lastResults) {
	list, err := lastOf(path)
	if info, stat := os.Stat(path); err != nil || stat != nil || info.Mode().Perm()&0o200 == 0 {
		return
	}
	list = slices.DeleteFunc(list, func(l lastResults) bool { return l.Key == one.Key })
	list = append([]lastResults{one}, list...)
	size := 0
	for i := range list {
		if size += list[i].Size; size > mostBytes || i >= mostLast {
			list = list[:i]
			break
		}
	}
	_ = scratch.Replace(path+lastEnding, func(w io.Writer) error { // the next audit computes again
		text, err := json.Marshal(list)
		err = errors.Join(err, pack(w, text))
		for _, l := range list {
			_, e := w.Write(l.packed)
			err = errors.Join(err, e)
		}
		return err
	})
}

// pack compresses what is kept, under the title by which it is known.
func pack(w io.Writer, text []byte) error {
	z, err := gzip.NewWriterLevel(w, gzip.BestSpeed)
	if err != nil {
		return err
	}
	z.Comment = lastTitle
	_, err = z.Write(text)
	return errors.Join(err, z.Close())
}

// unpack is the inverse of pack; errNotOurs where it has another title.
func unpack(packed []byte) ([]byte, error) {
	z, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil || z.Comment != lastTitle {
		return nil, errNotOurs
	}
	return io.ReadAll(io.LimitReader(z, 2*mostBytes))
}

var errNotOurs = errors.New("not the last results of this program")

// lastOf reads what is kept beside a database: a list, packed, and what it lists. An error
// where a file is there that this program did not make.
func lastOf(path string) ([]lastResults, error) {
	data, err := scratch.Read(path+lastEnding, 2*mostBytes)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, err
	}
	rest := bytes.NewReader(data)
	z, err := gzip.NewReader(rest)
	if err != nil || z.Comment != lastTitle {
		return nil, errNotOurs
	}
	z.Multistream(false)
	text, err := io.ReadAll(io.LimitReader(z, 2*mostBytes))
	var list []lastResults
	if err != nil || json.Unmarshal(text, &list) != nil {
		return nil, nil // damaged: made anew
	}
	data = data[len(data)-rest.Len():]
	for i := range list {
		n := list[i].Size
		if n <= 0 || n > len(data) {
			return nil, nil // damaged, or of an older program, which kept them in the list
		}
		list[i].packed, data = data[:n], data[n:]
	}
	if len(data) > 0 {
		return nil, nil
	}
	return list, nil
}

// Erase erases records of a database, and the last results beside it first: they tell what
// is to be gone for good. A server gives its own up by itself.
func Erase(db store.Store, erase func() error) error {
	if _, ok := db.(within); ok {
		return erase()
	}
	path := db.Path()
	if _, err := lastOf(path); !errors.Is(err, errNotOurs) {
		if err := os.Remove(path + lastEnding); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("the last results, beside the database, cannot be deleted: %w. Delete %s%s, then erase again", err, path, lastEnding)
		}
	}
	return erase()
}

// self tells the running program from any other: by what its build says of itself where
// that names its source, else by the SHA-256 of its file.
var self = sync.OnceValues(func() (string, error) {
	if info, ok := debug.ReadBuildInfo(); ok && ofOneSource(info) {
		return info.String(), nil
	}
	path, err := os.Executable()
	if err != nil {
		return "", err
	}
	return scratch.Sum(path)
})

// Revision gives the commit of a build, "" where it is not recorded, and "true" or "false":
// whether anything was changed in it.
func Revision(info *debug.BuildInfo) (revision, modified string) {
	for _, s := range info.Settings {
		switch s.Key {
		case "vcs.revision":
			revision = s.Value
		case "vcs.modified":
			modified = s.Value
		}
	}
	return revision, modified
}

// ofOneSource reports a build of a commit to which nothing was changed, or of a module
// known by its sum: with the versions and flags beside it in BuildInfo, one program.
func ofOneSource(info *debug.BuildInfo) bool {
	revision, modified := Revision(info)
	known := func(m *debug.Module) bool { // a module in a folder has no sum
		return m.Replace == nil && m.Sum != "" || m.Replace != nil && m.Replace.Sum != ""
	}
	for _, m := range info.Deps {
		if !known(m) {
			return false
		}
	}
	return revision != "" && modified == "false" || known(&info.Main)
}
