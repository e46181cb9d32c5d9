package main

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"unicode/utf16"
)

// output is one file a verb is going to write.
type output struct {
	flag string // "--pdf"
	path string
	// made recognises, by content, a file this program wrote for the same
	// purpose: such a file is replaced without asking. nil: never, since a
	// person may have worked on it.
	made func(path string) bool
}

// checkOutputs refuses, before any work is done, what must not be replaced: an
// input, a directory, another output of the run, or, without force, a file
// that this program did not make.
func checkOutputs(outputs []output, inputs []string, force bool) error {
	for i, o := range outputs {
		for _, other := range outputs[:i] {
			if filepath.Clean(o.path) == filepath.Clean(other.path) {
				return usage("%s and %s name the same file: %s", other.flag, o.flag, o.path)
			}
		}
		if err := checkOutput(o, inputs, force); err != nil {
			return err
		}
	}
	return nil
}

func checkOutput(o output, inputs []string, force bool) error {
	parent, err := os.Stat(filepath.Dir(o.path))
	if err != nil || !parent.IsDir() {
		return usage("%s %s: the folder %s does not exist", o.flag, o.path, filepath.Dir(o.path))
	}
	info, err := os.Stat(o.path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return usage("%s %s: %v", o.flag, o.path, err)
	}
	for _, in := range inputs { // one that is "" or not there is like no file
		if same, err := os.Stat(in); err == nil && os.SameFile(info, same) {
			return usage("%s %s is an input of this run and is not overwritten; name another file", o.flag, o.path)
		}
	}
	switch {
	case !info.Mode().IsRegular():
		return usage("%s %s is not a plain file; name another", o.flag, o.path)
	case force || o.made != nil && o.made(o.path):
		return nil
	}
	if o.made == nil {
		return usage("%s %s exists and may hold work of yours; name another file, or replace it with --force", o.flag, o.path)
	}
	return usage("%s %s exists and was not made by this command; name another file, or replace it with --force", o.flag, o.path)
}

// writeFile writes all of a file or none: to a temporary file in the same
// folder, synced, then renamed. Only the owner may read it, since it may hold
// what must not leave the practice.
func writeFile(path string, write func(io.Writer) error) error {
	dir := filepath.Dir(path)
	f, err := os.CreateTemp(dir, "."+filepath.Base(path)+".*.tmp") // mode 0600
	if err != nil {
		return unwritable(path, err)
	}
	done := false
	defer func() {
		if !done { // an error, or a panic in write
			f.Close()
			os.Remove(f.Name())
		}
	}()
	if err := write(f); err != nil {
		return unwritable(path, err)
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return unwritable(path, err)
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return unwritable(path, err)
	}
	done = true
	syncDir(dir)
	return nil
}

// syncDir makes the rename last; not every system can, and the file is whole
// either way.
func syncDir(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync()
		d.Close()
	}
}

func unwritable(path string, err error) error {
	var pathErr *fs.PathError
	if errors.As(err, &pathErr) {
		err = pathErr.Err // the temporary name means nothing to the reader
	}
	return &failure{code: exitUnreadable, err: fmt.Errorf("%s could not be written (%w); nothing of it was kept", path, err)}
}

// madePDF, madeHTML, madeJSON and madeWorkbook recognise an earlier output by its own mark.
func madePDF(path string) bool {
	b, err := os.ReadFile(path)
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
	b, err := os.ReadFile(path)
	head := b[:min(len(b), 4096)]
	return err == nil && bytes.HasPrefix(b, []byte("<!doctype html>")) && bytes.Contains(head, []byte(`<meta name="generator" content="shortfall `))
}

func madeJSON(path string) bool {
	b, err := os.ReadFile(path)
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
