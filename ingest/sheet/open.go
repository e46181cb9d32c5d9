package sheet

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"os"
	"path/filepath"

	"shortfall/ingest/casebook"
	"shortfall/ingest/rules"
)

// Open reads a whole file. The error is a casebook.Problem with the file name,
// and the place where there is one; a file with an error gives no cells at all,
// since a damaged file may lack rows without showing it.
func Open(path string, l Limits) (*Book, error) {
	return OpenContext(context.Background(), path, l)
}

// OpenContext is Open that stops when ctx ends.
func OpenContext(ctx context.Context, path string, l Limits) (*Book, error) {
	l = l.withDefaults()
	name := filepath.Base(path)
	f, info, err := openPlain(path, l)
	if err != nil {
		return nil, inFile(err, name)
	}
	defer f.Close()
	b, err := decode(ctx, name, f, info.Size(), l)
	if err != nil {
		return nil, err
	}
	if changed(f, info) {
		return nil, inFile(rules.New(rules.FileUnreadable, "it was changed while it was read"), name)
	}
	return b, nil
}

// changed reports a file that is no longer what it was when it was opened.
func changed(f *os.File, before os.FileInfo) bool {
	now, err := f.Stat()
	return err != nil || now.Size() != before.Size() || !now.ModTime().Equal(before.ModTime())
}

// Decode reads a file that is already in memory.
func Decode(ctx context.Context, name string, data []byte, l Limits) (*Book, error) {
	return decode(ctx, name, bytes.NewReader(data), int64(len(data)), l.withDefaults())
}

// decode reads a container part by part, so that a large one is never in memory whole;
// any other file is read at once.
func decode(ctx context.Context, name string, content io.ReaderAt, size int64, l Limits) (b *Book, err error) {
	defer func() {
		// The libraries below have panicked on hostile files before; one bad
		// file must not stop the others.
		if r := recover(); r != nil {
			b, err = nil, inFile(rules.New(rules.FileDamaged, "the file could not be read"), name)
		}
	}()
	packed := isZip(content)
	var data []byte
	refused, bad := casebook.Problem{}, false
	if packed {
		refused, bad = refuseZip(content, size)
	} else if data, err = io.ReadAll(io.NewSectionReader(content, 0, size)); err == nil {
		refused, bad = refuse(data, name)
	}
	if err != nil {
		return nil, inFile(unreadable(err), name)
	}
	if bad {
		return nil, inFile(refused, name)
	}
	ctx, stop := bounded(ctx, l)
	defer stop()
	sum := sha256.New()
	if _, err := io.Copy(sum, io.NewSectionReader(content, 0, size)); err != nil {
		return nil, inFile(unreadable(err), name)
	}
	b = &Book{File: casebook.File{Name: name, SHA256: hex.EncodeToString(sum.Sum(nil)), Size: size}}
	switch {
	case packed:
		err = b.readZip(ctx, content, size, l)
	case isOldWorkbook(data):
		err = b.readOldWorkbook(ctx, data, l)
	default:
		err = b.readText(ctx, data, l)
	}
	if err == nil {
		err = b.within(l)
	}
	err = ended(ctx, err)
	if err == nil && b.empty() {
		err = rules.New(rules.FileEmpty, "no sheet holds any cell")
	}
	if err != nil {
		return nil, inFile(err, name)
	}
	b.noteHidden()
	for i := range b.Problems {
		b.Problems[i].File = name
	}
	return b, nil
}

// within holds what every format can have too much of against the limits.
func (b *Book) within(l Limits) error {
	switch {
	case len(b.Sheets) > l.Sheets:
		return rules.New(rules.FileTooLarge, "the file holds more than %d sheets", l.Sheets)
	case len(b.Properties)+len(b.Comments) > l.Texts:
		return rules.New(rules.FileTooLarge, "the file carries more than %d texts outside its cells", l.Texts)
	}
	for _, s := range b.Sheets {
		if len(s.HiddenCols) > lastColumn {
			return rules.New(rules.FileTooLarge, "a sheet has more than %d hidden columns", lastColumn)
		}
		if err := s.clipMerged(l); err != nil {
			return err
		}
	}
	return nil
}

func (b *Book) empty() bool {
	for _, s := range b.Sheets {
		for _, r := range s.Rows {
			if r.Len() > 0 {
				return false
			}
		}
	}
	return true
}

// openPlain opens a plain file within the limit; opening a pipe could wait for
// ever.
func openPlain(path string, l Limits) (*os.File, os.FileInfo, error) {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, nil, unreadable(err)
	case info.IsDir():
		return nil, nil, rules.New(rules.FileUnreadable, "this is a folder")
	case !info.Mode().IsRegular():
		return nil, nil, rules.New(rules.FileUnreadable, "this is no plain file")
	case info.Size() > l.FileBytes:
		return nil, nil, rules.New(rules.FileTooLarge, "the file is larger than %d MiB", l.FileBytes>>20)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, nil, unreadable(err)
	}
	if info, err = f.Stat(); err != nil {
		f.Close()
		return nil, nil, unreadable(err)
	}
	return f, info, nil
}

func unreadable(err error) error {
	switch {
	case errors.Is(err, os.ErrNotExist):
		return rules.New(rules.FileUnreadable, "there is no such file")
	case errors.Is(err, os.ErrPermission):
		return rules.New(rules.FileUnreadable, "no permission to read it")
	}
	return rules.New(rules.FileUnreadable, "it cannot be read")
}

// inFile makes any error a problem of the file.
func inFile(err error, name string) error {
	p, ok := errors.AsType[casebook.Problem](err)
	switch {
	case ok:
	case errors.Is(err, errMemory):
		p = rules.New(rules.FileStopped, "%v", errMemory)
	case errors.Is(err, context.DeadlineExceeded):
		p = rules.New(rules.FileStopped, "the time allowed for the file ran out")
	case errors.Is(err, context.Canceled):
		p = rules.New(rules.FileStopped, "reading was interrupted")
	default:
		p = rules.New(rules.FileDamaged, "%v", err)
	}
	if p.File == "" {
		p.File = name
	}
	return p
}
