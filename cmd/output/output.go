// Package output writes what a verb was asked for: whole or not at all, and never over a
// file that may hold work of somebody's.
//
// Place in the pipeline: beneath cmd/verb, over the renderers of report; another format is
// a line of formats.
package output

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"unicode/utf16"

	"shortfall/cmd/exit"
	"shortfall/ingest/scratch"
	"shortfall/report/figures"
)

// File is one file a verb is going to write.
type File struct {
	Flag string // "--pdf"
	Path string
	Ends []string // what its name may end in, ".pdf"; nil: anything
	// Made recognises, by content, a file this program wrote for the same
	// purpose: such a file is replaced without asking. nil: never, since a
	// person may have worked on it.
	Made func(path string) bool
	// New is one that is never replaced: its verb has no --force.
	New bool
}

// Check refuses, before any work is done, what must not be replaced: a
// database or another input, existing yet or not and through whatever links, a
// directory, another output of the run, or, without force, a file that this
// program did not make. A device or a pipe is written to.
func Check(outputs []File, inputs []string, force bool) error {
	for i, o := range outputs {
		for _, other := range outputs[:i] {
			if SamePlace(o.Path, other.Path) {
				return exit.Usage("%s and %s name the same file: %s", other.Flag, o.Flag, o.Path)
			}
		}
		if err := checkOutput(o, inputs, force); err != nil {
			return err
		}
	}
	return nil
}

// besides are the files that SQLite keeps beside a database.
var besides = []string{"", "-journal", "-wal", "-shm"}

// SamePlace reports whether two paths lead to one file, existing yet or not.
func SamePlace(a, b string) bool {
	if a == "" || b == "" {
		return false
	}
	infoA, errA := os.Stat(a)
	infoB, errB := os.Stat(b)
	if errA == nil && errB == nil {
		return os.SameFile(infoA, infoB) && infoA.Mode()&fs.ModeCharDevice == 0
	}
	return (errA == nil) == (errB == nil) && whole(a) == whole(b)
}

// whole is the one path of what is not there yet: through links, in one form, and
// in small letters where the system tells no others apart.
func whole(path string) string {
	if to, _, err := scratch.Target(path); err == nil {
		path = to
	}
	if dir, err := filepath.EvalSymlinks(filepath.Dir(path)); err == nil {
		path = filepath.Join(dir, filepath.Base(path))
	}
	if abs, err := filepath.Abs(path); err == nil {
		path = abs
	}
	if runtime.GOOS != "linux" {
		path = strings.ToLower(path)
	}
	return filepath.Clean(path)
}

func checkOutput(o File, inputs []string, force bool) error {
	for _, in := range inputs {
		for _, more := range besides {
			if in != "" && SamePlace(o.Path, in+more) {
				return exit.Usage("%s %s is an input of this run and is not overwritten; name another file", o.Flag, o.Path)
			}
		}
	}
	to, info, err := scratch.Target(o.Path)
	if err != nil {
		return exit.Usage("%s %s: %v", o.Flag, o.Path, exit.Cause(err))
	}
	if plain := info == nil || info.Mode().IsRegular(); plain && o.Ends != nil && !slices.Contains(o.Ends, strings.ToLower(filepath.Ext(o.Path))) {
		return exit.Usage("%s %s does not end in %s, as what is written there should", o.Flag, o.Path, strings.Join(o.Ends, " or "))
	}
	parent, err := os.Stat(filepath.Dir(to))
	if err != nil || !parent.IsDir() {
		return exit.Usage("%s %s: the folder %s does not exist", o.Flag, o.Path, filepath.Dir(to))
	}
	switch {
	case info == nil:
		return nil
	case info.IsDir():
		return exit.Usage("%s %s is not a plain file; name another", o.Flag, o.Path)
	case o.New:
		return exit.Usage("%s %s exists and is never replaced; name a file that does not exist yet", o.Flag, o.Path)
	case !info.Mode().IsRegular():
		return nil // written through
	case force || o.Made != nil && o.Made(o.Path):
		return nil
	}
	if o.Made == nil {
		return exit.Usage("%s %s exists and may hold work of yours; name another file, or replace it with --force", o.Flag, o.Path)
	}
	return exit.Usage("%s %s exists and was not made by this command; name another file, or replace it with --force", o.Flag, o.Path)
}

// Set is the outputs of a run: each is written whole beside its place, and Place puts all
// of them in place or none. Only the owner may read them, since they may hold what must
// not leave the practice.
type Set struct{ files scratch.Set }

// Write adds a file.
func (s *Set) Write(path string, write func(io.Writer) error) error {
	if err := s.files.Replace(path, write); err != nil {
		return Unwritable(path, err)
	}
	return nil
}

// Create adds a file that must not exist yet.
func (s *Set) Create(path string, write func(io.Writer) error) error {
	return s.files.Create(path, write)
}

// Place ends a run that was not interrupted before: its outputs stand.
func (s *Set) Place(ctx context.Context, ending *exit.Ending) error {
	return ending.Finish(ctx, func() error {
		if failed, err := s.files.Place(); err != nil {
			return Unwritable(failed, err)
		}
		return nil
	})
}

// Drop removes what is not in place.
func (s *Set) Drop() { s.files.Drop() }

// Write is a Set of one file, placed.
func Write(ctx context.Context, ending *exit.Ending, path string, write func(io.Writer) error) error {
	var s Set
	defer s.Drop()
	if err := s.Write(path, write); err != nil {
		return err
	}
	return s.Place(ctx, ending)
}

// Unwritable is the error of an output of which nothing was kept.
func Unwritable(path string, err error) error {
	var pathErr *fs.PathError
	var linkErr *os.LinkError
	switch { // the temporary name means nothing to the reader
	case errors.As(err, &pathErr):
		err = pathErr.Err
	case errors.As(err, &linkErr):
		err = linkErr.Err
	}
	return exit.With(exit.CodeUnreadable, fmt.Errorf("%s could not be written (%w); nothing of it was kept", path, err))
}

// largestOutput that is looked into to see who made it, bytes.
const largestOutput = 1 << 30

// MadePDF and the like recognise an earlier output by its own mark.
func MadePDF(path string) bool {
	b, err := scratch.Read(path, largestOutput)
	creator := append([]byte("/Creator ("), utf16BE("shortfall ")...)
	return err == nil && bytes.HasPrefix(b, []byte("%PDF-")) && bytes.Contains(b, creator)
}

// utf16BE is how a PDF writes text outside its own encoding: a byte order mark,
// then two bytes a character (ISO 32000-1, 7.9.2.2).
func utf16BE(s string) []byte {
	out := []byte{0xfe, 0xff}
	for _, c := range utf16.Encode([]rune(s)) {
		out = append(out, byte(c>>8), byte(c))
	}
	return out
}

func madeHTML(path string) bool {
	b, err := scratch.Read(path, largestOutput)
	head := b[:min(len(b), 4096)]
	return err == nil && bytes.HasPrefix(b, []byte("<!doctype html>")) && bytes.Contains(head, []byte(`<meta name="generator" content="shortfall `))
}

func madeFigure(path string) bool {
	b, err := scratch.Read(path, largestOutput)
	return err == nil && figures.Made(bytes.NewReader(b), "shortfall ")
}

// MadeJSON recognises results or case sheets.
func MadeJSON(path string) bool {
	b, err := scratch.Read(path, largestOutput)
	head := b[:min(len(b), 4096)]
	return err == nil && bytes.Contains(head, []byte(`"schema_version"`)) && bytes.Contains(head, []byte(`"shortfall"`))
}

func madeWorkbook(path string) bool {
	z, err := zip.OpenReader(path)
	if err != nil {
		return false
	}
	defer z.Close()
	f, err := z.Open("docProps/core.xml")
	if err != nil {
		return false
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, 1<<16))
	return err == nil && strings.Contains(string(b), "shortfall results")
}
